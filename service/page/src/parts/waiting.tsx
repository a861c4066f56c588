import * as outbox from "../state/outbox";
import * as people from "../state/person";
import type { Problem } from "../types";
import { words } from "../words";

/** Photos on their way to be read. */
export function WaitingList({ items }: { items: outbox.Waiting[] }) {
  const w = words();
  if (items.length === 0) return null;
  return (
    <section aria-live="polite">
      <h2>{w.photo.waiting_heading}</h2>
      <ul class="waiting">
        {items.map((item) => (
          <li key={item.id}>
            <span>
              {item.name} {item.placeName ? `· ${item.placeName}` : ""}
            </span>
            {item.refused ? (
              <Refused
                problem={item.refused}
                onAgain={() => item.id !== undefined && void outbox.retry("waiting", item.id)}
                onRemove={() => item.id !== undefined && void outbox.drop(item.id)}
              />
            ) : (
              <progress aria-label={item.held ? w.photo.looking : w.photo.reading} />
            )}
          </li>
        ))}
      </ul>
      <p>{w.photo.kept}</p>
      <details>
        <summary>{w.common.more}</summary>
        <p>{w.photo.kept_note}</p>
      </details>
    </section>
  );
}

/** Photos on their way to the register. */
export function KeepingList({ items }: { items: outbox.Keeping[] }) {
  const w = words();
  if (items.length === 0) return null;
  return (
    <section aria-live="polite">
      <h2>{w.save.waiting_heading}</h2>
      <ul class="waiting">
        {items.map((item) => (
          <li key={item.id}>
            <span>{[...item.said.map((one) => one.tag), item.name, item.location].filter(Boolean).join(" · ")}</span>
            {item.refused ? (
              <Refused
                problem={item.refused}
                onAgain={() => item.id !== undefined && void outbox.retry("keeping", item.id)}
                onRemove={() => item.id !== undefined && void outbox.unsave(item.id)}
              />
            ) : (
              <On item={item} />
            )}
          </li>
        ))}
      </ul>
    </section>
  );
}

/** On its way, or kept for somebody else. */
function On({ item }: { item: outbox.Keeping }) {
  const w = words();
  const name = outbox.waitsFor(item);
  if (!name) return <p>{w.photo.kept}</p>;
  return (
    <>
      <p>{w.save.waits_for({ name })}</p>
      {people.may("inspect") && people.isAccount() && (
        <button type="button" onClick={() => item.id !== undefined && void outbox.adopt(item.id)}>
          {w.save.in_my_name}
        </button>
      )}
    </>
  );
}

function Refused({ problem, onAgain, onRemove }: { problem: Problem; onAgain: () => void; onRemove: () => void }) {
  const w = words();
  return (
    <>
      <p role="alert">
        {w.photo.refused}: {problem.detail ?? problem.title}
      </p>
      <div class="row">
        <button type="button" onClick={onAgain}>
          {w.common.again}
        </button>
        <button type="button" onClick={onRemove}>
          {w.common.remove}
        </button>
      </div>
    </>
  );
}
