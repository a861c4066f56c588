import { call, json, placeParts } from "./api";
import type { Deciding, Outcome, Place, Reading } from "./types";

/** What a list shows of a plate. */
export interface PlateRow {
  id: number;
  version: number;
  tag?: string;
  location?: string;
  maker?: string;
  type?: string;
  serial?: string;
  certificate?: string;
  marking: string;
  outcome?: Outcome;
  review: "not_needed" | "waiting" | "put_back" | "settled";
  photos: number;
  changed_at: string;
}

export interface Event {
  at: string;
  who: string;
  what: string;
  before?: unknown;
  after?: unknown;
}

export interface Plate extends PlateRow {
  answer: Reading;
  differences?: string[];
  /** Other plates on its photos. */
  beside?: number[];
  put_back?: string;
  settlement?: { lines: string[] };
  inspections: Inspection[];
  history: Event[];
}

export const GRADES = ["visual", "close", "detailed"] as const;
export const KINDS = ["initial", "periodic", "sample", "after_repair"] as const;
export const RESULTS = ["pass", "fail", "not_applicable", "not_checked"] as const;
export type Grade = (typeof GRADES)[number];
export type Kind = (typeof KINDS)[number];
export type Result = (typeof RESULTS)[number];

export interface Finding {
  text: string;
  priority: number;
  due?: string;
}

/** An inspection that is to be recorded. */
export interface NewInspection {
  grade: Grade;
  kind: Kind;
  date: string;
  inspector: string;
  competence: string;
  months: number;
  items: { item: string; result: Result; note?: string }[];
  findings: Finding[];
}

/** An inspection as it was recorded. */
export interface Inspection extends Omit<NewInspection, "months"> {
  id: number;
  at: string;
  next?: string;
}

/** One item of an inspection, with what the plate answers. */
export interface DraftItem {
  item: string;
  section: "equipment" | "installation" | "environment";
  text: string;
  note?: string;
  source: string;
  result: Result;
  ground?: string;
}

export interface Draft {
  items: DraftItem[];
  findings: Finding[];
}

export interface ReviewEntry extends PlateRow {
  reasons: string[];
  competing: string[];
  decided_by?: Deciding[];
  alternatives: string[];
  lines: { text: string; confidence: number; marking: boolean }[];
  crop?: string;
  put_back?: string;
  hold?: { who: string; until: string };
}

export interface Location {
  tag: string;
  description?: string;
  place: Place;
  version: number;
}

/** Whether the service keeps a register at all. */
export async function kept(): Promise<boolean> {
  return (await json<{ register: boolean }>("healthz")).register;
}

/** The locations of the register. */
export const locations = async (): Promise<Location[]> =>
  (await json<{ locations: Location[] }>("v1/locations")).locations;

/** Adds a location, or changes the version of it that was seen. */
export async function putLocation(tag: string, description: string, place: Place, who: string, version?: number): Promise<void> {
  await call(`v1/locations/${encodeURIComponent(tag)}`, {
    method: "PUT",
    headers: { "Content-Type": "application/json", ...(version === undefined ? {} : { "If-Match": `"${version}"` }) },
    body: JSON.stringify({ who, description, place }),
  });
}

export interface SiteTaken {
  locations: number;
  added: number;
  changed: number;
}

/** Takes the locations of a site file. */
export const takeSite = (text: string, toml: boolean, who: string): Promise<SiteTaken> =>
  json("v1/locations", { who, ...(toml ? { toml: text } : { csv: text }) });

export function plates(query: URLSearchParams): Promise<{ plates: PlateRow[]; next?: string }> {
  return json(`v1/plates?${query}`);
}

/** How many plates have one location, outcome and state of review. */
export interface Count {
  location?: string;
  outcome?: Outcome;
  review: PlateRow["review"];
  plates: number;
}

export const counts = async (): Promise<Count[]> => (await json<{ counts: Count[] }>("v1/plates/counts")).counts;

export const plate = (id: string): Promise<Plate> => json(`v1/plates/${encodeURIComponent(id)}`);

/** What waits for a person, of one location or of all. */
export const queue = (location: string | null): Promise<{ entries: ReviewEntry[]; waiting: number; next?: string }> =>
  json(`v1/review?${new URLSearchParams({ limit: "50", ...(location ? { location } : {}) })}`);

/** An entry with who holds it now; what was settled meanwhile is left to whoever looks at it. */
export function heldAs(entry: ReviewEntry, now: ReviewEntry | undefined): ReviewEntry {
  if (!now) return entry;
  const { hold: _, ...rest } = entry;
  return now.hold ? { ...rest, hold: now.hold } : rest;
}

export type Settling = { kind: "confirmed" | "illegible" } | { kind: "corrected"; lines: string[] };

export function settle(entry: PlateRow, who: string, settling: Settling): Promise<PlateRow> {
  return json(`v1/plates/${entry.id}/settlements`, { who, version: entry.version, ...settling });
}

/** Gives a plate its tag. */
export async function tag(row: PlateRow, who: string, tag: string): Promise<PlateRow> {
  const answer = await call(`v1/plates/${row.id}`, {
    method: "PATCH",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify({ who, version: row.version, tag }),
  });
  return answer.json() as Promise<PlateRow>;
}

export function putBack(row: PlateRow, who: string, reason: string): Promise<PlateRow> {
  return json(`v1/plates/${row.id}/put-back`, { who, version: row.version, reason });
}

/** Takes a plate in hand, or lets it go with 0 seconds. */
export async function hold(id: number, who: string, seconds: number): Promise<void> {
  await call(`v1/plates/${id}/hold`, {
    method: "POST",
    // Also heard when the page goes.
    keepalive: true,
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify({ who, seconds }),
  });
}

/** A photo for the register, and what a person says beside it. */
export interface Saving {
  photo: Blob;
  name: string;
  place?: Place;
  location?: string;
  tag: string;
  note: string;
  who: string;
  key: string;
}

/** What the register has of a photo that was sent. */
export interface Saved {
  /** Each plate that it shows, in the order of its reading. */
  plates: PlateRow[];
  /** What was given along and not put in the place of what was there. */
  remarks?: string[];
}

/** Sends a photo to the register; the same key at each try takes it once. */
export async function save(one: Saving): Promise<Saved> {
  const form = placeParts(one.place);
  for (const key of ["location", "tag", "note", "who"] as const) if (one[key]) form.append(key, one[key]);
  form.append("photo", one.photo, one.name);
  const answer = await call("v1/plates", { method: "POST", headers: { "Idempotency-Key": one.key }, body: form });
  return answer.json() as Promise<Saved>;
}

/** The items of an inspection of this grade, with what the plate answers. */
export const draft = async (id: string, grade: Grade): Promise<Draft> =>
  (await json<{ draft: Draft }>(`v1/plates/${encodeURIComponent(id)}/inspections?grade=${grade}`)).draft;

export const inspect = (id: string, inspection: NewInspection): Promise<Inspection> =>
  json(`v1/plates/${encodeURIComponent(id)}/inspections`, inspection);
