import { useEffect, useState } from "preact/hooks";
import { readText } from "../api";
import { Markings, PlateFacts } from "../parts/marking";
import { ProblemNote } from "../parts/problem";
import { ByHand, Cautions, Grounds, VerdictBand } from "../parts/verdict";
import { useLatest } from "../state/latest";
import type { Named } from "../state/places";
import type { Reading } from "../types";
import { words } from "../words/more";

const EXAMPLES = [
  "II 2(1) G Ex db [ia Ga] IIC T4 Gb",
  "II 2 D Ex tb IIIC T125°C Db",
  "EEx de IIC T5",
  "Class I Div 1 Groups C D T3C",
  "Ex h IIB T3 Gc",
];
/** What is typed outlives a reload. */
const KEPT = "marking-typed";

/** Type or paste a marking, see it taken apart. */
export function LearnPage({ place }: { place: Named | undefined }) {
  const w = words();
  const [text, setText] = useState(() => sessionStorage.getItem(KEPT) ?? "");
  const [reading, setReading] = useState<Reading>();
  const [error, setError] = useState<unknown>();
  const latest = useLatest();
  const take = async (typed: string): Promise<void> => {
    setText(typed);
    sessionStorage.setItem(KEPT, typed);
    const lines = typed.split(/[\n;]/).map((line) => line.trim()).filter(Boolean);
    if (lines.length === 0) return;
    setError(undefined);
    try {
      setReading(await latest(readText(lines, place?.place)));
    } catch (caught) {
      setReading(undefined);
      setError(caught);
    }
  };
  // What is shown holds for the place that is shown.
  const judged = JSON.stringify(place);
  useEffect(() => {
    if (reading) void take(text);
  }, [judged]);
  return (
    <>
      <h1>{w.learn.heading}</h1>
      <form
        onSubmit={(event) => {
          event.preventDefault();
          void take(text);
        }}
      >
        <label>
          {w.learn.label}
          <textarea
            class="read"
            rows={3}
            value={text}
            autocapitalize="off"
            spellcheck={false}
            onInput={(event) => {
              setText(event.currentTarget.value);
              sessionStorage.setItem(KEPT, event.currentTarget.value);
            }}
          />
        </label>
        <button class="main">{w.learn.button}</button>
      </form>
      {!reading && (
        <section>
          <h2>{w.learn.examples}</h2>
          <ul class="choices">
            {EXAMPLES.map((example) => (
              <li key={example}>
                <button type="button" class="read" onClick={() => void take(example)}>
                  {example}
                </button>
              </li>
            ))}
          </ul>
        </section>
      )}
      {error !== undefined && <ProblemNote error={error} onRetry={() => void take(text)} />}
      {reading && (
        <>
          {place && <VerdictBand reading={reading} placeName={place.name} />}
          <Markings reading={reading} />
          <ByHand reading={reading} />
          <Grounds reading={reading} />
          <PlateFacts reading={reading} />
          <Cautions cautions={reading.cautions} />
        </>
      )}
    </>
  );
}
