import type { Event } from "../register";
import { moment, words } from "../words/more";

/** What of a plate's row is worth telling when it changes; the rest are numbers of the register. */
const PARTS = ["tag", "location", "marking", "serial", "certificate", "outcome", "review", "photos"] as const;

const FIRST = ["marking", "outcome"] as const;

type Row = Partial<Record<(typeof PARTS)[number], string | number | null>>;

/** Who did what and when, and what stood there before. */
export function History({ events }: { events: Event[] }) {
  const w = words();
  const names = w.register.event as Partial<Record<string, string>>;
  return (
    <section>
      <h2>{w.register.history}</h2>
      <dl class="facts">
        {events.map((event, index) => (
          <div key={index}>
            <dt>{moment(event.at)}</dt>
            <dd>
              {event.who}: {names[event.what.replaceAll(" ", "_")] ?? event.what}
              {event.what === "noted" && ` – ${(event.after as { note: string }).note}`}
              <Changes before={event.before as Row | null} after={event.after as Row | null} />
            </dd>
          </div>
        ))}
      </dl>
    </section>
  );
}

function Changes({ before, after }: { before: Row | null | undefined; after: Row | null | undefined }) {
  const w = words();
  // Of what was not there before, what it is suffices.
  const parts = before ? PARTS : FIRST;
  const changed = parts.filter((part) => after && part in after && (before?.[part] ?? "") !== (after[part] ?? ""));
  if (changed.length === 0) return null;
  const shown = (part: (typeof PARTS)[number], value: string | number | null | undefined): string => {
    if (value === null || value === undefined || value === "") return w.register.nothing;
    const known: Partial<Record<string, string>> = part === "outcome" ? w.outcome.word : part === "review" ? w.register.state : {};
    return known[String(value)] ?? String(value);
  };
  return (
    <ul class="changes">
      {changed.map((part) => (
        <li key={part}>
          {w.register.part[part]}: <span class="read">
            {before && `${shown(part, before[part])} → `}
            {shown(part, after?.[part])}
          </span>
        </li>
      ))}
    </ul>
  );
}
