import { openDB, type DBSchema, type IDBPDatabase } from "idb";
import { Failed, readPhoto } from "../api";
import type { Place, Problem, Reading } from "../types";

/** A photo on its way: kept here before it is sent, and taken away only once it is answered. */
export interface Waiting {
  id?: number;
  photo: Blob;
  name: string;
  place?: Place;
  placeName?: string;
  /** The same at each try, so that the service can tell a second one. */
  key: string;
  at: string;
  /** Why the service did not take it; it is not tried again by itself. */
  refused?: Problem;
}

/** A photo with its answer, until the next plate. */
export interface Answered {
  id?: number;
  photo: Blob;
  name: string;
  place?: Place;
  placeName?: string;
  key: string;
  at: string;
  reading: Reading;
}

interface Store extends DBSchema {
  waiting: { key: number; value: Waiting };
  answered: { key: number; value: Answered };
}

/** Answers kept; older ones make room. */
const MOST_ANSWERED = 20;
/** Pause before the next try where the service names none, seconds. */
const PAUSE = 15;

let opened: Promise<IDBPDatabase<Store>> | undefined;
const listeners = new Set<() => void>();
let timer: number | undefined;

function store(): Promise<IDBPDatabase<Store>> {
  opened ??= openDB<Store>("vetplate", 1, {
    upgrade(db) {
      db.createObjectStore("waiting", { keyPath: "id", autoIncrement: true });
      db.createObjectStore("answered", { keyPath: "id", autoIncrement: true });
    },
  });
  return opened;
}

/** Calls back whenever something was put in, sent or refused. */
export function watch(listener: () => void): () => void {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

const changed = (): void => listeners.forEach((listener) => listener());

/** A key that no other photo has, also where the page came over plain HTTP. */
function freshKey(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** Keeps a photo, then tries to send it. Resolves when it is safely kept. */
export async function put(photo: File, place?: Place, placeName?: string): Promise<number> {
  // Asked for once there is something to lose; a "no" changes nothing but the risk.
  void navigator.storage?.persist?.().catch(() => false);
  // A copy of the bytes: a file picked from a phone may be gone after a reload.
  const bytes = new Blob([await photo.arrayBuffer()], { type: photo.type });
  const id = await (await store()).add("waiting", {
    photo: bytes,
    name: photo.name,
    ...(place ? { place } : {}),
    ...(placeName ? { placeName } : {}),
    key: freshKey(),
    at: new Date().toISOString(),
  });
  changed();
  void send();
  return id;
}

export const waiting = async (): Promise<Waiting[]> => (await store()).getAll("waiting");

export const answered = async (): Promise<Answered[]> => (await store()).getAll("answered");

export async function drop(id: number): Promise<void> {
  await (await store()).delete("waiting", id);
  changed();
}

/** Takes an answer out of the list. */
export async function dismiss(id: number): Promise<void> {
  await (await store()).delete("answered", id);
  changed();
}

/** Tries a refused photo again. */
export async function retry(id: number): Promise<void> {
  const db = await store();
  const item = await db.get("waiting", id);
  if (item) {
    delete item.refused;
    await db.put("waiting", item);
  }
  void send();
}

/** Sends what waits, oldest first; several pages of one browser take turns. */
export async function send(): Promise<void> {
  window.clearTimeout(timer);
  // Taken in turn, never skipped: a photo put in while another is being sent must not be left.
  await (navigator.locks ? navigator.locks.request("outbox", sendAll) : sendAll());
}

async function sendAll(): Promise<void> {
  const db = await store();
  for (;;) {
    const next = (await db.getAll("waiting")).find((item) => !item.refused);
    if (!next) return;
    try {
      const reading = await readPhoto(next.photo, next.name, next.place);
      await answer(db, next, reading);
    } catch (error) {
      if (!(error instanceof Failed) || error.passing) {
        const seconds = error instanceof Failed ? (error.retryAfter ?? PAUSE) : PAUSE;
        timer = window.setTimeout(() => void send(), seconds * 1000);
        changed();
        return;
      }
      await db.put("waiting", { ...next, refused: error.problem as Problem });
      changed();
    }
  }
}

/** Moves a photo from one list to the other in one step: never in neither, never in both. */
async function answer(db: IDBPDatabase<Store>, item: Waiting, reading: Reading): Promise<void> {
  const both = db.transaction(["waiting", "answered"], "readwrite");
  const { id, refused: _, ...rest } = item;
  if (id !== undefined) await both.objectStore("waiting").delete(id);
  const list = both.objectStore("answered");
  await list.add({ ...rest, reading });
  const keys = await list.getAllKeys();
  for (const old of keys.slice(0, Math.max(0, keys.length - MOST_ANSWERED))) await list.delete(old);
  await both.done;
  changed();
}

/** Sends on opening, on coming into sight and on line again. */
export function begin(): void {
  void send();
  window.addEventListener("online", () => void send());
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible") void send();
  });
}
