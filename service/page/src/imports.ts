import { Failed, json, refused } from "./api";
import * as people from "./state/person";
import type { Problem } from "./types";
import { language } from "./words";

/** How an import stands; seen = taken + held + refused + failed, always. */
export interface Import {
  id: number;
  state: "running" | "paused" | "stopping" | "done" | "stopped" | "interrupted";
  origin: "upload" | "folder" | "command";
  who: string;
  sources: string[];
  started_at: string;
  ended_at?: string;
  seen: number;
  taken: number;
  held: number;
  refused: number;
  failed: number;
  left: number;
  total?: number;
  rate_per_s?: number;
  left_s?: number;
  resumes?: number;
  resumed_by?: number;
  can: ("pause" | "resume" | "cancel")[];
}

export interface Detail extends Import {
  /** Plates that it brought and that wait for a person. */
  waiting: number;
  problems: { source: string; failed: boolean; reason: string }[];
}

export const latest = async (): Promise<Import[]> => (await json<{ imports: Import[] }>("v1/imports?limit=20")).imports;

export const one = (id: string): Promise<Detail> => json(`v1/imports/${encodeURIComponent(id)}?limit=1000`);

export const ask = (id: number, wish: "pause" | "resume" | "cancel"): Promise<Import> =>
  json(`v1/imports/${id}/${wish}`, {});

/** Calls back with every state until the import has ended; answers how to stop listening. */
export function follow(id: string, each: (state: Import) => void, ended: () => void): () => void {
  // It asks again by itself where the connection breaks off; the first event is the whole state.
  const source = new EventSource(`v1/imports/${encodeURIComponent(id)}/events`);
  source.addEventListener("progress", (event) => each(JSON.parse(event.data as string) as Import));
  source.addEventListener("end", (event) => {
    source.close();
    each(JSON.parse(event.data as string) as Import);
    ended();
  });
  return () => source.close();
}

/** A file with the folders that it lay in. */
export interface Found {
  file: File;
  path: string;
}

const ARCHIVE = /\.(zip|tar|tgz|tar\.gz)$/i;

/** Sends one archive, or photos; `progress` hears how much of it has gone, 0 to 1. */
export function send(found: Found[], who: string, location: string, progress: (share: number) => void): Promise<Import> {
  const form = new FormData();
  if (who) form.append("who", who);
  if (location) form.append("location", location);
  const archive = found.length === 1 && ARCHIVE.test(found[0]?.path ?? "");
  for (const { file, path } of found) form.append(archive ? "archive" : "photo", file, path);
  return new Promise((done, failed) => {
    const before = people.changes();
    // fetch cannot say how much has been sent.
    const request = new XMLHttpRequest();
    request.open("POST", "v1/imports");
    request.setRequestHeader("Accept-Language", language());
    request.responseType = "json";
    request.upload.addEventListener("progress", (event) => {
      if (event.lengthComputable) progress(event.loaded / event.total);
    });
    request.addEventListener("error", () => failed(new Failed("network")));
    request.addEventListener("load", () => {
      if (request.status < 300) done(request.response as Import);
      else {
        if (request.status === 401) refused(before);
        const problem = request.response as Problem | null;
        failed(new Failed(problem ?? { type: "", title: request.statusText, status: request.status }));
      }
    });
    request.send(form);
  });
}

/** What was picked, with its folders where a folder was. */
export const picked = (files: FileList | null): Found[] =>
  [...(files ?? [])].map((file) => ({ file, path: file.webkitRelativePath || file.name }));

/** What was dropped, folders and all. */
export async function dropped(data: DataTransfer): Promise<Found[]> {
  // To be asked for before the first pause: the browser forgets what was dropped after it.
  const entries = [...data.items].map((item) => item.webkitGetAsEntry());
  const found: Found[] = [];
  for (const entry of entries) if (entry) await walk(entry, "", found);
  return found;
}

async function walk(entry: FileSystemEntry, above: string, found: Found[]): Promise<void> {
  const path = above ? `${above}/${entry.name}` : entry.name;
  if (entry.isFile) {
    const file = await new Promise<File>((done, failed) => (entry as FileSystemFileEntry).file(done, failed));
    found.push({ file, path });
    return;
  }
  const reader = (entry as FileSystemDirectoryEntry).createReader();
  for (;;) {
    // A hundred at a time, and none at the end.
    const some = await new Promise<FileSystemEntry[]>((done, failed) => reader.readEntries(done, failed));
    if (some.length === 0) return;
    for (const one of some) await walk(one, path, found);
  }
}
