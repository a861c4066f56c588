import { call } from "./api";
import type { Outcome, Place, Reading } from "./types";

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
  put_back?: string;
  history: Event[];
}

export interface ReviewEntry extends PlateRow {
  reasons: string[];
  competing: string[];
  alternatives: string[];
  lines: { text: string; confidence: number }[];
  crop?: string;
  put_back?: string;
  hold?: { who: string; until: string };
}

export interface Location {
  tag: string;
  name?: string;
  place: Place;
}

async function json<T>(path: string, body?: unknown): Promise<T> {
  const init: RequestInit =
    body === undefined
      ? {}
      : { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) };
  return (await call(path, init)).json() as Promise<T>;
}

/** Whether the service keeps a register at all. */
export async function kept(): Promise<boolean> {
  return (await json<{ register: boolean }>("healthz")).register;
}

/** The locations of the register. */
export const locations = async (): Promise<Location[]> =>
  (await json<{ locations: Location[] }>("v1/locations")).locations;

export function plates(query: URLSearchParams): Promise<{ plates: PlateRow[]; next?: string }> {
  return json(`v1/plates?${query}`);
}

export const plate = (id: string): Promise<Plate> => json(`v1/plates/${encodeURIComponent(id)}`);

export const queue = (): Promise<{ entries: ReviewEntry[]; next?: string }> => json("v1/review?limit=50");

export type Settling = { kind: "confirmed" | "illegible" } | { kind: "corrected"; lines: string[] };

export function settle(entry: PlateRow, who: string, settling: Settling): Promise<PlateRow> {
  return json(`v1/plates/${entry.id}/settlements`, { who, version: entry.version, ...settling });
}

export function putBack(row: PlateRow, who: string, reason: string): Promise<PlateRow> {
  return json(`v1/plates/${row.id}/put-back`, { who, version: row.version, reason });
}

/** Takes a plate in hand, or lets it go with 0 seconds. */
export async function hold(id: number, who: string, seconds: number): Promise<void> {
  await call(`v1/plates/${id}/hold`, {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify({ who, seconds }),
  });
}
