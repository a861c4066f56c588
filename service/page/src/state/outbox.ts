import { openDB, type DBSchema, type IDBPDatabase } from "idb";
import { Failed, readPhoto } from "../api";
import * as register from "../register";
import type { Place, Problem, Reading } from "../types";
import { words } from "../words";
import { judge, type Judgement } from "./judgement";
import * as people from "./person";
import type { Named } from "./places";

/** A photo on its way: kept here before it is sent, and taken away only once it is answered. */
export interface Waiting {
  id?: number;
  photo: Blob;
  name: string;
  place?: Place;
  placeName?: string;
  /** True where the place is a location of the service. */
  ofSite?: boolean;
  /** The same at each try, so that the service can tell a second one. */
  key: string;
  at: string;
  /** Why the service did not take it; it is not tried again by itself. */
  refused?: Problem;
  /** Not sent before it was looked at and, where something is wrong with it, a person said so. */
  held?: true;
  /** What is wrong with it. */
  judgement?: Judgement;
}

/** A photo with its answer, until the next plate. */
export interface Answered {
  id?: number;
  photo: Blob;
  name: string;
  place?: Place;
  placeName?: string;
  ofSite?: boolean;
  key: string;
  at: string;
  reading: Reading;
  /** Its plates, once they are in the register. */
  plates?: number[];
  /** True while it is on its way there. */
  saving?: boolean;
  /** What was given along and not put in the place of what was there. */
  remarks?: string[];
}

/** What a person says of one plate of a photo. */
export interface Said {
  tag: string;
  /** Its lines, where they were corrected. */
  lines?: string[];
}

/** A photo on its way to the register. */
export interface Keeping extends register.Saving, Partial<register.Saved> {
  id?: number;
  /** The answer that it was saved from. */
  answered: number;
  at: string;
  /** Of each plate that was read on it, what has not yet been kept; with `plates`, the photo itself has. */
  said: Said[];
  /** Who was signed in: it goes into the register under no other name. */
  account?: string;
  refused?: Problem;
}

interface Store extends DBSchema {
  waiting: { key: number; value: Waiting };
  answered: { key: number; value: Answered };
  keeping: { key: number; value: Keeping };
}

/** Answers kept; older ones make room. */
const MOST_ANSWERED = 20;
/** Pause before the next try where the service names none, seconds. */
const PAUSE = 15;

let opened: Promise<IDBPDatabase<Store>> | undefined;
const listeners = new Set<() => void>();
let timer: number | undefined;

function store(): Promise<IDBPDatabase<Store>> {
  opened ??= openDB<Store>("vetplate", 2, {
    upgrade(db, before) {
      if (before < 1) {
        db.createObjectStore("waiting", { keyPath: "id", autoIncrement: true });
        db.createObjectStore("answered", { keyPath: "id", autoIncrement: true });
      }
      if (before < 2) db.createObjectStore("keeping", { keyPath: "id", autoIncrement: true });
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
export function freshKey(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** Keeps a photo; one that is not held is sent. Resolves when it is safely kept. */
export async function put(photo: File, place: Named | undefined, held: boolean): Promise<void> {
  // Asked for once there is something to lose; a "no" changes nothing but the risk.
  void navigator.storage?.persist?.().catch(() => false);
  // A copy of the bytes: a file picked from a phone may be gone after a reload.
  const bytes = new Blob([await photo.arrayBuffer()], { type: photo.type });
  const id = await (await store()).add("waiting", {
    photo: bytes,
    name: photo.name,
    ...(place ? { place: place.place, placeName: place.name, ofSite: place.origin === "site" } : {}),
    key: freshKey(),
    at: new Date().toISOString(),
    ...(held ? { held: true } : {}),
  });
  changed();
  if (held) await look(id);
  else void send();
}

/** Looks at a photo that is held: one that will do goes on, another waits for a person's word. */
async function look(id: number): Promise<void> {
  const item = await (await store()).get("waiting", id);
  if (!item?.held || item.judgement) return;
  const judgement = await judge(item.photo).catch(() => undefined);
  if (!judgement || judgement.good) return release(id);
  // Read anew: it may have been removed meanwhile.
  const all = (await store()).transaction("waiting", "readwrite").store;
  const now = await all.get(id);
  if (now) await all.put({ ...now, judgement });
  changed();
}

/** Sends a photo that was held. */
export async function release(id: number): Promise<void> {
  const all = (await store()).transaction("waiting", "readwrite").store;
  const item = await all.get(id);
  if (item) {
    delete item.held;
    await all.put(item);
  }
  changed();
  void send();
}

/** Keeps a photo for the register, then tries to send it. Resolves when it is safely kept. */
export async function save(item: Answered, beside: Pick<Keeping, "note" | "who" | "place" | "location" | "said">): Promise<void> {
  const both = (await store()).transaction(["answered", "keeping"], "readwrite");
  await both.objectStore("answered").put({ ...item, saving: true });
  await both.objectStore("keeping").add({
    ...beside,
    // Of several plates nobody could know which one a tag of the photo is meant for.
    tag: beside.said.length === 1 ? (beside.said[0]?.tag ?? "") : "",
    ...accountNow(),
    photo: item.photo,
    name: item.name,
    answered: item.id ?? 0,
    // Of its own: what is sent to be read and what is sent to be kept are two requests.
    key: freshKey(),
    at: new Date().toISOString(),
  });
  await both.done;
  changed();
  void send();
}

function accountNow(): { account?: string } {
  const account = people.account();
  return account ? { account } : {};
}

/** Whether it must wait for the one who saved it. */
export const waitsFor = (item: Keeping): string | undefined => (item.account && item.account !== people.account() ? item.account : undefined);

/** Lets it go under the name of whoever is signed in now. */
export async function adopt(id: number): Promise<void> {
  const all = (await store()).transaction("keeping", "readwrite").store;
  const item = await all.get(id);
  if (item) {
    delete item.account;
    await all.put({ ...item, ...accountNow(), who: people.person() });
  }
  changed();
  void send();
}

export const keeping = async (): Promise<Keeping[]> => (await store()).getAll("keeping");

/** Gives a photo up that the register refused. */
export async function unsave(id: number): Promise<void> {
  const both = (await store()).transaction(["answered", "keeping"], "readwrite");
  const item = await both.objectStore("keeping").get(id);
  const answer = item && (await both.objectStore("answered").get(item.answered));
  if (answer) {
    delete answer.saving;
    // The photo may be there, and a correction alone refused.
    await both.objectStore("answered").put(item.plates ? { ...answer, plates: item.plates.map((one) => one.id) } : answer);
  }
  await both.objectStore("keeping").delete(id);
  await both.done;
  changed();
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
export async function retry(list: "waiting" | "keeping", id: number): Promise<void> {
  const all = (await store()).transaction(list, "readwrite").store;
  const item = await all.get(id);
  if (item) {
    delete item.refused;
    await all.put(item as Waiting & Keeping);
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
    const next = (await db.getAll("waiting")).find((item) => !item.refused && !item.held);
    const kept = next ? undefined : (await db.getAll("keeping")).find((item) => !item.refused && !waitsFor(item));
    if (!next && !kept) return;
    try {
      if (next) await answer(db, next, await readPhoto(next.photo, next.name, next.place));
      else if (kept) await saved(db, kept);
    } catch (error) {
      if (!(error instanceof Failed) || error.passing) {
        const seconds = error instanceof Failed ? (error.retryAfter ?? PAUSE) : PAUSE;
        timer = window.setTimeout(() => void send(), seconds * 1000);
        changed();
        return;
      }
      const refused = error.problem as Problem;
      if (next) await db.put("waiting", { ...next, refused });
      // Read anew: the photo may have been taken before the correction was refused.
      else if (kept?.id !== undefined) await db.put("keeping", { ...((await db.get("keeping", kept.id)) ?? kept), refused });
      changed();
    }
  }
}

/** Sends a photo to the register and, behind it, what was said of each plate; each step is kept before the next. */
async function saved(db: IDBPDatabase<Store>, item: Keeping): Promise<void> {
  let { plates, remarks = [], said } = item;
  if (!plates) {
    ({ plates, remarks = [] } = await register.save(item));
    // With the photo.
    if (item.tag) said = said.map((one) => ({ ...one, tag: "" }));
    await db.put("keeping", { ...item, plates, remarks, said });
  }
  for (const [part, { tag, lines }] of said.entries()) {
    if (!tag && !lines) continue;
    const row = plates[part];
    // Read by another version meanwhile, or long ago: nobody knows which plate is meant.
    if (!row || plates.length !== said.length) throw new Failed({ type: "", title: words().save.other_plates, status: 409 });
    let now: register.PlateRow = row;
    const done = async (left: Said): Promise<void> => {
      plates = plates?.map((one) => (one.id === now.id ? now : one));
      said = said.with(part, left);
      await db.put("keeping", { ...item, ...(plates ? { plates } : {}), remarks, said });
    };
    if (tag) {
      if (!row.tag) now = await named(row, item.who, tag);
      else if (row.tag.toLowerCase() !== tag.toLowerCase()) {
        remarks = [...remarks, words().save.other_tag({ tag, has: row.tag })];
      }
      await done({ tag: "", ...(lines ? { lines } : {}) });
    }
    if (lines) {
      now = await correct(now, item.who, lines);
      await done({ tag: "" });
    }
  }
  const both = db.transaction(["answered", "keeping"], "readwrite");
  if (item.id !== undefined) await both.objectStore("keeping").delete(item.id);
  const list = both.objectStore("answered");
  const answer = await list.get(item.answered);
  if (answer) {
    delete answer.saving;
    await list.put({ ...answer, plates: plates.map((one) => one.id), remarks });
  }
  await both.done;
  changed();
}

/** Gives a plate its tag; answers the plate as it is then. An answer that was lost on its way back is told by the tag. */
async function named(plate: register.PlateRow, who: string, tag: string): Promise<register.PlateRow> {
  try {
    return await register.tag(plate, who, tag);
  } catch (error) {
    if (!(error instanceof Failed) || error.problem === "network" || error.problem.status !== 412) throw error;
    const now = await register.plate(String(plate.id));
    // Whoever decided meanwhile is not overruled unseen.
    if (now.tag !== tag || now.review !== plate.review) throw error;
    return now;
  }
}

/** Keeps a correction; answers the plate as it is then. An answer that was lost on its way back is told by the lines. */
async function correct(plate: register.PlateRow, who: string, lines: string[]): Promise<register.PlateRow> {
  try {
    return await register.settle(plate, who, { kind: "corrected", lines });
  } catch (error) {
    if (!(error instanceof Failed) || error.problem === "network" || error.problem.status !== 412) throw error;
    const now = await register.plate(String(plate.id));
    if (now.settlement?.lines.join("\n") !== lines.join("\n")) throw error;
    return now;
  }
}

/** Moves a photo from one list to the other in one step: never in neither, never in both. */
async function answer(db: IDBPDatabase<Store>, item: Waiting, reading: Reading): Promise<void> {
  const both = db.transaction(["waiting", "answered"], "readwrite");
  const { id, refused: _, judgement: __, ...rest } = item;
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
  // A reload may have come before a photo was looked at.
  waiting().then((all) => all.forEach((item) => item.id !== undefined && void look(item.id)), () => undefined);
  void send();
  window.addEventListener("online", () => void send());
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible") void send();
  });
}
