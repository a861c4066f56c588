import { useEffect, useState } from "preact/hooks";
import { readText } from "../api";
import * as outbox from "../state/outbox";
import type { Reading } from "../types";
import { words } from "../words/more";
import { ProblemNote } from "./problem";

/** Values by key, as they are typed. */
export type Values = Record<string, string>;

/** The entity parameters of a plate that a loop asks for, by the keys of the loop. */
function parameters(reading: Reading, keys: [string, string][]): Values {
  const values: Values = {};
  for (const [key] of keys) {
    // Plates give power in W, loops count in mW.
    const [from, factor] = key.endsWith("_mw") ? [key.replace("_mw", "_w"), 1000] : [key, 1];
    const value = reading.is_parameters?.[from];
    if (typeof value === "number") values[key] = String(Number((value * factor).toPrecision(12)));
  }
  return values;
}

/** Entity parameters off a plate, typed or read here from a photo, so that nobody copies figure by figure. */
export function FromPlate({ keys, onFill }: { keys: [string, string][]; onFill: (values: Values) => void }) {
  const w = words();
  const [text, setText] = useState("");
  const [error, setError] = useState<unknown>();
  const [read, setRead] = useState<outbox.Answered[]>([]);
  useEffect(() => {
    outbox.answered().then(setRead, () => undefined);
  }, []);
  const suited = read.filter((one) => Object.keys(parameters(one.reading, keys)).length > 0);
  const fill = async (): Promise<void> => {
    setError(undefined);
    try {
      onFill(parameters(await readText(text.split(/[\n;]/).filter((line) => line.trim())), keys));
    } catch (caught) {
      setError(caught);
    }
  };
  return (
    <details>
      <summary>{w.loop.from_text}</summary>
      {suited.length > 0 && (
        <>
          <p>{w.loop.from_photo}</p>
          <div class="row">
            {suited.map(({ id, reading }) => (
              <button type="button" key={id} onClick={() => onFill(parameters(reading, keys))}>
                {[reading.type, reading.serial].filter(Boolean).join(" ") || reading.markings[0]?.text || w.photo.unmarked}
              </button>
            ))}
          </div>
        </>
      )}
      <label>
        {w.learn.label}
        <textarea class="read" rows={3} value={text} onInput={(event) => setText(event.currentTarget.value)} />
      </label>
      <button type="button" onClick={() => void fill()}>
        {w.loop.fill}
      </button>
      {error !== undefined && <ProblemNote error={error} />}
    </details>
  );
}
