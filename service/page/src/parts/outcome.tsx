import type { Outcome } from "../types";
import { words } from "../words";

/** The outcome as a word, with a sign of its own so that it is never told by colour alone. */
export function OutcomeWord({ outcome }: { outcome: Outcome | "none" }) {
  return <strong class={`outcome ${outcome}`}>{words().outcome.word[outcome]}</strong>;
}
