import { useEffect, useRef, useState } from "preact/hooks";
import { NeedsRole } from "../parts/needs-role";
import { ProblemNote } from "../parts/problem";
import { ReviewEntry } from "../parts/review-entry";
import * as register from "../register";
import type { Where } from "../router";
import * as people from "../state/person";
import { useQueue } from "../state/queue";
import { whole, words } from "../words/more";

/** One plate after the other, most urgent first; hands may stay on the keyboard, or off it. */
export function ReviewPage({ where }: { where: Where }) {
  const w = words();
  const location = where.query.get("location");
  const queue = useQueue(location);
  const [done, setDone] = useState<{ row: register.PlateRow; what: string }[]>([]);
  const [who, setWho] = useState(people.person());
  const [error, setError] = useState<unknown>();
  const { entries, at } = queue;
  const entry = entries?.[at];
  const following = entries?.[at + 1]?.crop;
  useEffect(() => {
    // The next one is there when it is asked for.
    if (following) new Image().src = following.replace(/^\//, "");
  }, [following]);
  const busy = useRef(false);
  const attempt = async (act: () => Promise<void>): Promise<void> => {
    // A finger that taps twice means one decision.
    if (busy.current) return;
    busy.current = true;
    setError(undefined);
    try {
      await act();
    } catch (caught) {
      setError(caught);
    }
    busy.current = false;
  };
  const settle = (settling: register.Settling): Promise<void> =>
    attempt(async () => {
      if (!entry) return;
      const row = await register.settle(entry, who, settling);
      setDone([...done, { row, what: w.review.done[settling.kind] }]);
      queue.settled(entry.id);
    });
  const undo = (): Promise<void> =>
    attempt(async () => {
      const last = done.at(-1);
      if (!last) return;
      await register.putBack(last.row, who, w.review.undone);
      setDone(done.slice(0, -1));
      queue.load(last.row.id);
    });
  const last = done.at(-1);
  const failed = error ?? queue.error;
  const others = (entries ?? []).filter((one) => one.hold && one.hold.who !== who.trim());
  return (
    <>
      <h1>{location ? `${whole(w.nav.view.review)}: ${location}` : whole(w.nav.view.review)}</h1>
      <NeedsRole right="review" />
      {!people.isAccount() && (
        <label>
          {w.review.who}
          <input
            value={who}
            autocomplete="name"
            onInput={(event) => {
              setWho(event.currentTarget.value);
              people.name(event.currentTarget.value);
            }}
          />
        </label>
      )}
      {failed !== undefined && <ProblemNote error={failed} onRetry={() => queue.load(entry?.id)} />}
      {entries && <progress aria-label={whole(w.nav.view.review)} value={done.length} max={Math.max(1, done.length + queue.left)} />}
      <p role="status">
        {entries && w.review.progress({ done: done.length, left: queue.left })} {last && `${last.what}: ${last.row.marking || w.photo.unmarked}`}
      </p>
      {last && (
        <button type="button" onClick={() => void undo()}>
          {w.review.undo} <kbd>U</kbd>
        </button>
      )}
      {others.length > 0 && (
        <p class="others">
          {w.review.others}{" "}
          {others.map((one) => `${one.hold?.who} (${one.tag || one.serial || one.marking || one.id})`).join(", ")}
        </p>
      )}
      {entries?.length === 0 && <p>{w.review.empty}</p>}
      {entry && (
        <ReviewEntry
          key={`${entry.id} ${entry.version}`}
          entry={entry}
          who={who}
          onSettle={(settling) => void settle(settling)}
          onMove={queue.move}
          onUndo={() => void undo()}
        />
      )}
    </>
  );
}
