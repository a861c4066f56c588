import { useState } from "preact/hooks";
import { readText } from "../api";
import type { Deciding, Place, Reading, Span } from "../types";
import { share, words } from "../words/more";
import { Crop } from "./crop";
import { criticalLines } from "./photo-view";
import { ProblemNote } from "./problem";
import { OutcomeWord } from "./outcome";

/** Replaces characters of a line. */
function replaced(text: string, { start, end }: Pick<Span, "start" | "end">, by: string): string {
  const characters = [...text];
  characters.splice(start, end - start, ...by);
  return characters.join("");
}

/**
 * The lines that matter, each beside its enlarged crop: choose between the readings where
 * the outcome hangs on one, or write what stands on the plate.
 */
export function Correct({
  reading,
  texts,
  judged,
  bitmap,
  place,
  onType,
  onJudged,
  onReset,
}: {
  reading: Reading;
  /** The lines as they are typed. */
  texts: string[];
  /** Those that the verdict follows. */
  judged: string[];
  bitmap: ImageBitmap | undefined;
  place: Place | undefined;
  onType: (texts: string[]) => void;
  onJudged: (corrected: Reading, texts: string[]) => void;
  onReset: () => void;
}) {
  const w = words();
  const first = reading.lines.map((line) => line.text);
  const [busy, setBusy] = useState(false);
  const [error, setError] = useState<unknown>();
  const critical = criticalLines(reading);
  const deciding = reading.verdict?.decided_by ?? [];
  const shown = reading.lines
    .map((line, index) => ({ line, index }))
    .filter(({ line, index }) => critical.has(index) || deciding.some((d) => d.line === index) || line.confidence < 0.9);
  const edited = texts.some((text, index) => text !== first[index]);
  const set = (index: number, text: string): void => onType(texts.map((old, i) => (i === index ? text : old)));
  const judge = async (): Promise<void> => {
    setBusy(true);
    setError(undefined);
    try {
      const answer = await readText(texts.filter((text) => text.trim()), place);
      // The places in the photo stay known where no line was emptied.
      const lines = answer.lines.map((line, index) => {
        const quad = texts.every((text) => text.trim()) ? reading.lines[index]?.quad : undefined;
        return quad ? { ...line, quad } : line;
      });
      onJudged({ ...answer, lines, ...(reading.photo ? { photo: reading.photo } : {}) }, texts);
    } catch (caught) {
      setError(caught);
    }
    setBusy(false);
  };
  return (
    <section>
      <h2>{w.correct.heading}</h2>
      <p>{w.correct.help}</p>
      {shown.map(({ line, index }) => (
        <div class="correct" key={index}>
          {bitmap && <Crop photo={bitmap} line={line} label={line.text} />}
          <label>
            {w.correct.line({ line: index + 1 })}
            <input
              class="read"
              value={texts[index] ?? ""}
              autocapitalize="off"
              autocomplete="off"
              spellcheck={false}
              onInput={(event) => set(index, event.currentTarget.value)}
            />
          </label>
          {deciding
            .filter((one) => one.line === index)
            .map((one, nth) => (
              <Choice key={nth} deciding={one} bitmap={bitmap} line={line} onChoose={(by) => set(index, replaced(line.text, one, by))} />
            ))}
        </div>
      ))}
      {texts.join("\n") !== judged.join("\n") && <p role="status">{w.correct.not_yet}</p>}
      {error !== undefined && <ProblemNote error={error} onRetry={() => void judge()} />}
      <div class="row">
        <button type="button" class="main" disabled={!edited || busy} onClick={() => void judge()}>
          {w.correct.apply}
        </button>
        {edited && (
          <button type="button" disabled={busy} onClick={onReset}>
            {w.correct.reset}
          </button>
        )}
      </div>
    </section>
  );
}

function Choice({
  deciding,
  bitmap,
  line,
  onChoose,
}: {
  deciding: Deciding;
  bitmap: ImageBitmap | undefined;
  line: Reading["lines"][number];
  onChoose: (text: string) => void;
}) {
  const w = words();
  return (
    <fieldset>
      <legend>{w.correct.choose}</legend>
      {bitmap && <Crop photo={bitmap} line={line} span={deciding} label={deciding.text} />}
      <div class="row">
        {deciding.readings.map((one, index) => (
          <button type="button" key={index} onClick={() => onChoose(one.text)}>
            <span class="read">{one.text || "∅"}</span> <OutcomeWord outcome={one.outcome} /> <small>{share(one.probability)}</small>
          </button>
        ))}
      </div>
    </fieldset>
  );
}
