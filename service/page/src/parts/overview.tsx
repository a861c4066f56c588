import { useEffect, useState } from "preact/hooks";
import * as register from "../register";
import { address } from "../router";
import type { Outcome } from "../types";
import { number, words } from "../words/more";

const OUTCOMES: (Outcome | "none")[] = ["unsuitable", "undecided", "conditional", "suitable", "none"];

/** How many plates each location has of each outcome; a touch shows them. */
export function Overview() {
  const w = words();
  const [counts, setCounts] = useState<register.Count[]>();
  const [open, setOpen] = useState(false);
  useEffect(() => {
    if (open) register.counts().then(setCounts, () => setCounts([]));
  }, [open]);
  const places = [...new Set((counts ?? []).map((one) => one.location))];
  const sum = (all: register.Count[]): number => all.reduce((total, one) => total + one.plates, 0);
  return (
    <details onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>{w.register.overview}</summary>
      {open && !counts && <progress aria-label={w.common.loading} />}
      <dl class="facts overview">
        {places.map((place) => {
          const here = (counts ?? []).filter((one) => one.location === place);
          const location = place ?? "-";
          const waiting = here.filter((one) => ["waiting", "put_back"].includes(one.review));
          return (
            <div key={location}>
              <dt>{place ?? w.register.nowhere}</dt>
              <dd class="row">
                {OUTCOMES.map((outcome) => {
                  const n = sum(here.filter((one) => (one.outcome ?? "none") === outcome));
                  if (n === 0) return null;
                  const filter = outcome === "none" ? "not-judged" : outcome;
                  return (
                    <a key={outcome} class="button" href={address("register", { location, outcome: filter })}>
                      {number(n)} <strong class={`outcome ${outcome}`}>{w.outcome.word[outcome]}</strong>
                    </a>
                  );
                })}
                {waiting.length > 0 && (
                  <a class="button" href={address("register", { location, review: "open" })}>
                    {number(sum(waiting))} {w.register.waits}
                  </a>
                )}
              </dd>
            </div>
          );
        })}
      </dl>
    </details>
  );
}
