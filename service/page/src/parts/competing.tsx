import type { Deciding } from "../types";
import { share, words } from "../words/more";
import { OutcomeWord } from "./outcome";

/** Keys that choose a reading; those that mean something else are left out. */
const KEYS = [..."abcdfghijk"];

/** One of the readings that compete for a place of a line. */
export interface Candidate {
  key: string | undefined;
  line: number;
  /** The whole line in this reading. */
  text: string;
  /** What differs: from and to, in characters of `text`. */
  from: number;
  to: number;
  reading: Deciding["readings"][number];
}

/** How many characters all texts begin with alike. */
function alike(texts: string[][]): number {
  const [first = [], ...others] = texts;
  const at = first.findIndex((character, index) => others.some((other) => other[index] !== character));
  return at < 0 ? first.length : at;
}

/** Every reading of every place that decides, with the characters in which it differs from the others. */
export function candidates(deciding: Deciding[], lines: string[]): Candidate[][] {
  let key = 0;
  return deciding.map((one) => {
    const line = [...(lines[one.line] ?? "")];
    const texts = one.readings.map(({ text }) => [...text]);
    const before = alike(texts);
    const behind = alike(texts.map((text) => text.slice(before).toReversed()));
    return one.readings.map((reading, index) => {
      const own = texts[index] ?? [];
      return {
        key: KEYS[key++],
        line: one.line,
        text: [...line.slice(0, one.start), ...own, ...line.slice(one.end)].join(""),
        from: one.start + before,
        to: one.start + own.length - behind,
        reading,
      };
    });
  });
}

/** The readings side by side, the characters in which they differ marked; a touch or a key takes one. */
export function Competing({ all, lines, onTake }: { all: Candidate[][]; lines: string[]; onTake: (one: Candidate) => void }) {
  const w = words();
  return (
    <>
      {all.map((group, index) => (
        <fieldset key={index} class="competing">
          <legend>
            {w.correct.line({ line: (group[0]?.line ?? 0) + 1 })}: {w.correct.choose}
          </legend>
          <div class="candidates">
            {group.map((one, nth) => {
              const characters = [...one.text];
              const differs = characters.slice(one.from, one.to).join("");
              return (
                <button type="button" key={nth} aria-pressed={lines[one.line] === one.text} onClick={() => onTake(one)}>
                  <span class="read">
                    {characters.slice(0, one.from).join("")}
                    <mark>{differs || <span class="unseen">{w.review.nothing}</span>}</mark>
                    {characters.slice(one.to).join("")}
                  </span>
                  <span>
                    <OutcomeWord outcome={one.reading.outcome} /> <small>{share(one.reading.probability)}</small> {one.key && <kbd>{one.key.toUpperCase()}</kbd>}
                  </span>
                </button>
              );
            })}
          </div>
        </fieldset>
      ))}
    </>
  );
}
