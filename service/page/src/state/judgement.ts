import { call } from "../api";
import type { Quad } from "../types";
import { words } from "../words";
import { glance } from "./glance";

/** Something that is wrong with a photo, and where. */
export interface Flaw {
  kind: "no_text" | "small" | "blurred" | "glare" | "cut" | "dark";
  /** In words, with what to do. */
  text: string;
  quad: Quad;
}

/** What is said of a photo before it is read. */
export interface Judgement {
  good: boolean;
  width: number;
  height: number;
  flaws: Flaw[];
}

/** How long the service is waited for, milliseconds: within a second something must be said. */
const PATIENCE = 800;

/**
 * Judges a photo. The service knows letters and says where; what the browser sees by itself
 * counts where the service does not answer in time, or at all.
 */
export async function judge(photo: Blob): Promise<Judgement> {
  const own = here(photo);
  // A browser that cannot decode the photo says nothing against it: the service may.
  own.catch(() => undefined);
  try {
    const init = { method: "POST", body: photo, headers: { "Content-Type": photo.type || "application/octet-stream" } };
    const answer = await call("v1/photos/judgement", { ...init, signal: AbortSignal.timeout(PATIENCE) });
    return (await answer.json()) as Judgement;
  } catch {
    return own;
  }
}

async function here(photo: Blob): Promise<Judgement> {
  const { width, height, kind } = await glance(photo);
  const quad: Quad = [[0, 0], [width, 0], [width, height], [0, height]];
  return { good: !kind, width, height, flaws: kind ? [{ kind, text: words().flaw[kind], quad }] : [] };
}
