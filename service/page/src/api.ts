import * as people from "./state/person";
import { language } from "./words";
import type { Place, Problem, Reading } from "./types";

/** Heard on the window where the service asks who is there. */
export const SIGNED_OUT = "signed-out";

/** What the service refused, or `network` where it did not answer at all. */
export class Failed extends Error {
  constructor(
    readonly problem: Problem | "network",
    /** Seconds after which the service asks to be tried again. */
    readonly retryAfter?: number,
  ) {
    super(problem === "network" ? "network" : problem.title);
  }

  /** Worth trying again with the same photo: the fault does not lie in it. Signing in helps, too. */
  get passing(): boolean {
    return this.problem === "network" || [401, 408, 429, 500, 502, 503, 504].includes(this.problem.status);
  }
}

/** Says that nobody is signed in; a late refusal of what was asked before somebody came says nothing of who is there now. */
export function refused(before: number): void {
  if (people.changes() === before) window.dispatchEvent(new Event(SIGNED_OUT));
}

export async function call(path: string, init: RequestInit = {}): Promise<Response> {
  let answer: Response;
  const before = people.changes();
  try {
    answer = await fetch(path, {
      ...init,
      headers: { "Accept-Language": language(), ...(init.headers as Record<string, string>) },
    });
  } catch {
    throw new Failed("network");
  }
  if (answer.ok) return answer;
  if (answer.status === 401) refused(before);
  const seconds = Number(answer.headers.get("Retry-After")) || undefined;
  const problem = (await answer.json().catch(() => null)) as Problem | null;
  throw new Failed(problem ?? { type: "", title: answer.statusText, status: answer.status }, seconds);
}

/** What the service answers to a question, or to what is posted. */
export async function json<T>(path: string, body?: unknown): Promise<T> {
  const init: RequestInit =
    body === undefined
      ? {}
      : { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) };
  return (await call(path, init)).json() as Promise<T>;
}

/** A place as parts of a form. */
export function placeParts(place?: Place): FormData {
  const form = new FormData();
  for (const [key, value] of Object.entries(place ?? {})) {
    for (const one of Array.isArray(value) && key !== "ambient_c" ? value : [value]) {
      form.append(key, Array.isArray(one) ? one.join("..") : String(one));
    }
  }
  return form;
}

/** Reads a photo; the place may be left out. */
export async function readPhoto(photo: Blob, name: string, place?: Place): Promise<Reading> {
  const form = placeParts(place);
  form.append("photo", photo, name);
  return (await call("v1/readings", { method: "POST", body: form })).json() as Promise<Reading>;
}

/** Takes the lines of a plate apart and, with a place, judges them. */
export function readText(lines: string[], place?: Place): Promise<Reading> {
  return json("v1/markings", { lines, ...(place ? { place } : {}) });
}

export interface Requirement {
  needs: {
    atmosphere: string;
    epl?: string;
    category?: string;
    group?: string;
    t_class?: string;
    max_surface_c?: number;
    dust_ip?: number;
    types: { symbol: string; name: string; standard: string; epl: string }[];
    order: string;
  }[];
  order_line: string;
  missing?: string[];
  notes?: string[];
}

/** The least marking that suits a place. */
export function require(place: Place): Promise<Requirement> {
  return json("v1/requirements", { place });
}

export type LoopLine = "pass" | "fail" | "undecided";

export interface LoopAnswer {
  overall: LoopLine;
  voltage: LoopLine;
  current: LoopLine;
  power: LoopLine;
  capacitance: LoopLine;
  inductance: LoopLine;
  capacitance_limit_nf?: number;
  inductance_limit_uh?: number;
  capacitance_total_nf?: number;
  inductance_total_uh?: number;
  longest_by_capacitance_m?: number;
  longest_by_inductance_m?: number;
  notes: string[];
  source: string;
}

export function checkLoop(loop: unknown): Promise<LoopAnswer> {
  return json("v1/loops", loop);
}
