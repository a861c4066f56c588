import { useEffect, useLayoutEffect, useRef, useState } from "preact/hooks";
import { Failed } from "../api";
import * as register from "../register";
import { address } from "../router";
import { useDraft } from "../state/draft";
import * as people from "../state/person";
import { share, words } from "../words/more";
import { candidates, Competing, type Candidate } from "./competing";
import { OutcomeWord } from "./outcome";

/** Below this a line is looked at first. */
const DOUBTFUL = 0.9;
/** So many reasons are said at once: what is to be decided stays in sight. */
const AT_ONCE = 4;
/** How long a plate is held for whoever looks at it, seconds, and after how long it is asked for again. */
const HOLD_S = 120;
const AGAIN_MS = 60_000;
/** Whoever goes on at once holds nothing, and a name that is being typed is none yet. */
const SETTLED_MS = 400;

/** Holds the plate as long as it is looked at; answers what the service said where another holds it. */
function useHold(id: number, who: string): string | undefined {
  const [refused, setRefused] = useState<string>();
  useEffect(() => {
    if (!who) return;
    let asked = false;
    let asking: Promise<void> = Promise.resolve();
    const hold = (): void => {
      // Behind another window nobody looks at it, and others need not wait.
      if (document.visibilityState !== "visible") return;
      asked = true;
      asking = register.hold(id, who, HOLD_S).then(
        () => setRefused(undefined),
        (error: unknown) => {
          const problem = error instanceof Failed && error.problem !== "network" ? error.problem : undefined;
          if (problem?.status === 409) setRefused(problem.detail ?? problem.title);
        },
      );
    };
    const letGo = (): void => {
      if (asked) void register.hold(id, who, 0).catch(() => undefined);
      asked = false;
    };
    const first = window.setTimeout(hold, SETTLED_MS);
    const timer = window.setInterval(hold, AGAIN_MS);
    // Nobody must wait for a page that was closed.
    window.addEventListener("pagehide", letGo);
    window.addEventListener("pageshow", hold);
    document.addEventListener("visibilitychange", hold);
    return () => {
      window.clearTimeout(first);
      window.clearInterval(timer);
      window.removeEventListener("pagehide", letGo);
      window.removeEventListener("pageshow", hold);
      document.removeEventListener("visibilitychange", hold);
      // Two requests under way at once may come in the other order, and the plate stayed held.
      void asking.then(letGo);
    };
  }, [id, who]);
  return refused;
}

/** One plate that waits: its picture, the readings that compete, its lines, and what may be said. */
export function ReviewEntry({
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
  const [lines, setLines, forget] = useDraft(`review ${entry.id} ${entry.version}`, first);
  const form = useRef<HTMLFormElement>(null);
  const edited = lines.some((line, index) => line !== first[index]);
  const may = people.may("review");
  const ready = who.trim() !== "" && may;
  const refused = useHold(entry.id, ready ? who.trim() : "");
  const held = refused ?? (entry.hold && entry.hold.who !== who.trim() ? w.review.held({ who: entry.hold.who }) : undefined);
  const readings = candidates(entry.decided_by ?? [], first);
  const take = (one: Candidate): void => setLines(lines.map((old, index) => (index === one.line ? one.text : old)));
  const settle = (settling: register.Settling): void => {
    forget();
    onSettle(settling);
  };
  const correct = (): void => settle({ kind: "corrected", lines: lines.filter((line) => line.trim()) });
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
        "1": () => ready && !edited && settle({ kind: "confirmed" }),
        "2": () => ready && edited && correct(),
        "3": () => ready && settle({ kind: "illegible" }),
        e: () => form.current?.querySelector<HTMLElement>(doubtful < 0 ? "input" : `[data-line="${doubtful}"]`)?.focus(),
        u: onUndo,
        ArrowRight: () => onMove(1),
        ArrowLeft: () => onMove(-1),
      };
      for (const one of readings.flat()) if (one.key) act[one.key] = () => take(one);
      // A key that is held down moves on, and decides nothing a second time.
      if (event.repeat && !event.key.startsWith("Arrow")) return;
      const found = act[event.key.length === 1 ? event.key.toLowerCase() : event.key];
      if (found) {
        event.preventDefault();
        found();
      }
    };
    window.addEventListener("keydown", keys);
    return () => window.removeEventListener("keydown", keys);
  });
  // What nobody doubts and what is no marking is at hand, not in the way.
  const sure = (index: number): boolean => {
    const line = entry.lines[index];
    return line !== undefined && !line.marking && line.confidence >= DOUBTFUL;
  };
  // A reason that another one ends with says nothing of its own.
  const reasons = entry.reasons.filter((one) => !entry.reasons.some((other) => other !== one && other.endsWith(one)));
  const foremost = reasons.slice(0, AT_ONCE);
  const more = [...reasons.slice(AT_ONCE), ...(readings.length > 0 ? [] : entry.competing), ...entry.alternatives];
  const rest = lines.flatMap((_, index) => (sure(index) ? [index] : []));
  const field = (index: number) => (
    <label class={(entry.lines[index]?.confidence ?? 1) < DOUBTFUL ? "doubtful-line" : ""}>
      {w.correct.line({ line: index + 1 })}, {w.marking.sure} {share(entry.lines[index]?.confidence ?? 0)}
      <input
        class="read"
        data-line={index}
        value={lines[index] ?? ""}
        readOnly={!may}
        autocapitalize="off"
        autocomplete="off"
        spellcheck={false}
        onKeyDown={(event) => {
          // No button of this form is the one that Enter stands for: it depends on the text.
          if (event.key !== "Enter" || !ready) return;
          event.preventDefault();
          if (event.repeat) return;
          if (edited) correct();
          else settle({ kind: "confirmed" });
        }}
        onInput={(event) => setLines(lines.map((old, i) => (i === index ? event.currentTarget.value : old)))}
      />
    </label>
  );
  return (
    <article class="entry">
      <h2>
        {entry.marking || w.photo.unmarked} <small>{[entry.tag, entry.location, entry.serial].filter(Boolean).join(" · ")}</small>
      </h2>
      {entry.outcome && <OutcomeWord outcome={entry.outcome} />}
      {held && (
        <p role="alert">
          <b>{held}</b>
        </p>
      )}
      <div class="entry-body">
        {entry.crop && (
          <a class="entry-photo" href={`v1/plates/${entry.id}/photo`} target="_blank" rel="noopener">
            <img class="entry-crop" src={entry.crop.replace(/^\//, "")} alt={w.review.crop({ marking: entry.marking || w.photo.unmarked })} />
          </a>
        )}
        <div>
          <Competing all={readings} lines={lines} onTake={take} />
          <ul>
            {entry.put_back && <li>{entry.put_back}</li>}
            {foremost.map((reason, index) => (
              <li key={index}>{reason}</li>
            ))}
          </ul>
          {more.length > 0 && (
            <details>
              <summary>{w.review.more_reasons({ n: more.length })}</summary>
              <ul>
                {more.map((reason, index) => (
                  <li key={index}>{reason}</li>
                ))}
              </ul>
            </details>
          )}
          <form ref={form} onSubmit={(event) => event.preventDefault()}>
            {lines.map((_, index) => !sure(index) && <div key={index}>{field(index)}</div>)}
            {rest.length > 0 && (
              <details open={rest.some((index) => lines[index] !== first[index])}>
                <summary>{w.review.sure_lines({ n: rest.length })}</summary>
                {rest.map((index) => (
                  <div key={index}>{field(index)}</div>
                ))}
              </details>
            )}
            {may && !ready && <p>{w.review.name_first}</p>}
            {may && (
              <div class="row">
                <button type="button" class="main" disabled={!ready || edited} onClick={() => settle({ kind: "confirmed" })}>
                  {w.review.confirm} <kbd>1</kbd>
                </button>
                <button type="button" disabled={!ready || !edited} onClick={correct}>
                  {w.review.correct} <kbd>2</kbd>
                </button>
                <button type="button" disabled={!ready} onClick={() => settle({ kind: "illegible" })}>
                  {w.review.illegible} <kbd>3</kbd>
                </button>
                {edited && (
                  <button type="button" onClick={forget}>
                    {w.correct.reset}
                  </button>
                )}
              </div>
            )}
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
            <p class="by-key">
              <small>{w.review.keys}</small>
            </p>
          </form>
        </div>
      </div>
    </article>
  );
}
