import { useEffect, useLayoutEffect, useRef, useState } from "preact/hooks";
import { ProblemNote } from "../parts/problem";
import { OutcomeWord } from "../parts/verdict";
import * as register from "../register";
import { address, type Where } from "../router";
import * as people from "../state/person";
import { share, words } from "../words";

/** Below this a line is looked at first. */
const DOUBTFUL = 0.9;
/** How long a plate is held for whoever looks at it, seconds. */
const HOLD_S = 300;

/** One plate after the other, most urgent first; hands may stay on the keyboard, or off it. */
export function ReviewPage({ where }: { where: Where }) {
  const w = words();
  const location = where.query.get("location");
  const [entries, setEntries] = useState<register.ReviewEntry[]>();
  const [at, setAt] = useState(0);
  const [done, setDone] = useState<{ row: register.PlateRow; what: string }[]>([]);
  const [who, setWho] = useState(people.person());
  const [error, setError] = useState<unknown>();
  const load = (): void => {
    setError(undefined);
    register.queue(location).then((page) => {
      setEntries(page.entries);
      setAt(0);
    }, setError);
  };
  useEffect(load, [location]);
  const entry = entries?.[at];
  const following = entries?.[at + 1]?.crop;
  useEffect(() => {
    // The next one is there when it is asked for.
    if (following) new Image().src = following.replace(/^\//, "");
  }, [following]);
  const settle = async (settling: register.Settling): Promise<void> => {
    if (!entry) return;
    setError(undefined);
    try {
      const row = await register.settle(entry, who, settling);
      setDone([...done, { row, what: w.review.done[settling.kind] }]);
      const left = (entries ?? []).filter((one) => one.id !== entry.id);
      setEntries(left);
      setAt(Math.min(at, Math.max(0, left.length - 1)));
      if (left.length === 0) load();
    } catch (caught) {
      setError(caught);
    }
  };
  const undo = async (): Promise<void> => {
    const last = done.at(-1);
    if (!last) return;
    try {
      await register.putBack(last.row, who, w.review.undone);
      setDone(done.slice(0, -1));
      load();
    } catch (caught) {
      setError(caught);
    }
  };
  return (
    <>
      <h1>{location ? `${w.nav.review}: ${location}` : w.nav.review}</h1>
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
      {error !== undefined && <ProblemNote error={error} onRetry={load} />}
      <p role="status">
        {entries && w.review.progress(done.length, entries.length)}{" "}
        {done.length > 0 && (
          <>
            {done.at(-1)?.what}: {done.at(-1)?.row.marking || w.marking.none}
          </>
        )}
      </p>
      {done.length > 0 && (
        <button type="button" onClick={() => void undo()}>
          {w.review.undo} <kbd>U</kbd>
        </button>
      )}
      {entries?.length === 0 && <p>{w.review.empty}</p>}
      {entry && (
        <Entry
          key={entry.id}
          entry={entry}
          who={who}
          onSettle={(settling) => void settle(settling)}
          onMove={(by) => setAt((at + by + (entries?.length ?? 1)) % (entries?.length ?? 1))}
          onUndo={() => void undo()}
        />
      )}
    </>
  );
}

function Entry({
  entry,
  who,
  onSettle,
  onMove,
  onUndo,
}: {
  entry: register.ReviewEntry;
  who: string;
  onSettle: (settling: register.Settling) => void;
  onMove: (by: number) => void;
  onUndo: () => void;
}) {
  const w = words();
  const first = entry.lines.map((line) => line.text);
  const [lines, setLines] = useState(first);
  const form = useRef<HTMLFormElement>(null);
  const edited = lines.some((line, index) => line !== first[index]);
  const ready = who.trim() !== "";
  const others = entry.hold && entry.hold.who !== who ? entry.hold : undefined;
  useEffect(() => {
    if (!ready) return;
    // Somebody else may hold it: then the entry says so, and settling is refused in words.
    void register.hold(entry.id, who, HOLD_S).catch(() => undefined);
    return () => void register.hold(entry.id, who, 0).catch(() => undefined);
  }, [entry.id, ready]);
  const correct = (): void => onSettle({ kind: "corrected", lines: lines.filter((line) => line.trim()) });
  // With the plate itself, not after it: a quick hand must not lose a key.
  useLayoutEffect(() => {
    const keys = (event: KeyboardEvent): void => {
      const typing = event.target instanceof HTMLElement && event.target.matches("input, textarea, select");
      if (event.ctrlKey || event.altKey || event.metaKey) return;
      if (typing) {
        if (event.key === "Escape") (event.target as HTMLElement).blur();
        return;
      }
      const doubtful = entry.lines.findIndex((line) => line.confidence < DOUBTFUL);
      const act: Record<string, () => void> = {
        "1": () => ready && !edited && onSettle({ kind: "confirmed" }),
        "2": () => ready && edited && correct(),
        "3": () => ready && onSettle({ kind: "illegible" }),
        e: () => form.current?.querySelectorAll("input")[Math.max(0, doubtful)]?.focus(),
        u: onUndo,
        ArrowRight: () => onMove(1),
        ArrowLeft: () => onMove(-1),
      };
      const found = act[event.key.length === 1 ? event.key.toLowerCase() : event.key];
      if (found) {
        event.preventDefault();
        found();
      }
    };
    window.addEventListener("keydown", keys);
    return () => window.removeEventListener("keydown", keys);
  });
  return (
    <article class="entry">
      <h2>
        {entry.marking || w.marking.none} <small>{[entry.tag, entry.location, entry.serial].filter(Boolean).join(" · ")}</small>
      </h2>
      {entry.outcome && <OutcomeWord outcome={entry.outcome} />}
      {others && (
        <p role="alert">
          <b>{w.review.held(others.who)}</b>
        </p>
      )}
      {entry.crop && (
        <a href={`v1/plates/${entry.id}/photo`} target="_blank" rel="noopener">
          <img class="entry-crop" src={entry.crop.replace(/^\//, "")} alt={w.review.crop(entry.marking)} />
        </a>
      )}
      <ul>
        {[...entry.reasons, ...entry.competing, ...entry.alternatives].map((reason, index) => (
          <li key={index}>{reason}</li>
        ))}
        {entry.put_back && <li>{entry.put_back}</li>}
      </ul>
      <form
        ref={form}
        onSubmit={(event) => event.preventDefault()}
      >
        {lines.map((line, index) => (
          <label key={index} class={(entry.lines[index]?.confidence ?? 1) < DOUBTFUL ? "doubtful-line" : ""}>
            {w.correct.line(index + 1)}, {w.marking.sure} {share(entry.lines[index]?.confidence ?? 0)}
            <input
              class="read"
              value={line}
              autocapitalize="off"
              autocomplete="off"
              spellcheck={false}
              onKeyDown={(event) => {
                // No button of this form is the one that Enter stands for: it depends on the text.
                if (event.key !== "Enter" || !ready) return;
                event.preventDefault();
                if (edited) correct();
                else onSettle({ kind: "confirmed" });
              }}
              onInput={(event) => setLines(lines.map((old, i) => (i === index ? event.currentTarget.value : old)))}
            />
          </label>
        ))}
        {!ready && <p>{w.review.name_first}</p>}
        <div class="row">
          <button type="button" class="main" disabled={!ready || edited} onClick={() => onSettle({ kind: "confirmed" })}>
            {w.review.confirm} <kbd>1</kbd>
          </button>
          <button type="button" disabled={!ready || !edited} onClick={correct}>
            {w.review.correct} <kbd>2</kbd>
          </button>
          <button type="button" disabled={!ready} onClick={() => onSettle({ kind: "illegible" })}>
            {w.review.illegible} <kbd>3</kbd>
          </button>
        </div>
        <div class="row">
          <button type="button" onClick={() => onMove(-1)}>
            {w.review.before} <kbd>←</kbd>
          </button>
          <button type="button" onClick={() => onMove(1)}>
            {w.review.next} <kbd>→</kbd>
          </button>
          <a class="button" href={`${address("register")}/${entry.id}`}>
            {w.review.all}
          </a>
        </div>
        <p>
          <small>{w.review.keys}</small>
        </p>
      </form>
    </article>
  );
}
