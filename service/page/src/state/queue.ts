import { useEffect, useState } from "preact/hooks";
import * as register from "../register";
import { useLatest } from "./latest";

/** How often it is looked who else is at work, milliseconds. */
const LOOK_AGAIN = 20_000;

/** What is worked off, and what has been settled here. */
export interface Queue {
  entries: register.ReviewEntry[] | undefined;
  /** How many wait in all. */
  left: number;
  at: number;
  error: unknown;
  load: (showing?: number) => void;
  move: (by: number) => void;
  /** Takes an entry out that has been settled. */
  settled: (id: number) => void;
}

/** The queue of a location, most urgent first. What others hold or settle meanwhile is seen. */
export function useQueue(location: string | null): Queue {
  const [entries, setEntries] = useState<register.ReviewEntry[]>();
  const [left, setLeft] = useState(0);
  const [at, setAt] = useState(0);
  const [error, setError] = useState<unknown>();
  const latest = useLatest();
  const load = (showing?: number): void => {
    setError(undefined);
    latest(register.queue(location)).then((page) => {
      setEntries(page.entries);
      setLeft(page.waiting);
      setAt(Math.max(0, page.entries.findIndex((one) => one.id === showing)));
    }, setError);
  };
  useEffect(() => load(), [location]);
  useEffect(() => {
    let gone = false;
    const look = async (): Promise<void> => {
      if (document.visibilityState !== "visible") return;
      const page = await register.queue(location);
      if (gone) return;
      setLeft(page.waiting);
      // The order stays, and with it what is on the screen.
      setEntries((old) => old?.map((one) => register.heldAs(one, page.entries.find((now) => now.id === one.id))));
    };
    const timer = window.setInterval(() => void look().catch(() => undefined), LOOK_AGAIN);
    return () => {
      gone = true;
      window.clearInterval(timer);
    };
  }, [location]);
  return {
    entries,
    left,
    at,
    error,
    load,
    move: (by) => setAt((at + by + (entries?.length ?? 1)) % (entries?.length || 1)),
    settled: (id) => {
      // Of what is known now: it may have changed while the decision was on its way.
      setEntries((now) => now?.filter((one) => one.id !== id));
      setLeft((now) => now - 1);
      const rest = (entries ?? []).filter((one) => one.id !== id).length;
      setAt(Math.min(at, Math.max(0, rest - 1)));
      if (rest === 0) load();
    },
  };
}
