import { useState } from "preact/hooks";
import { Codes } from "../parts/codes";
import { Correct } from "../parts/correct";
import { Markings, PlateFacts } from "../parts/marking";
import { NeedsRole } from "../parts/needs-role";
import { OutcomeWord } from "../parts/outcome";
import { PhotoView, useBitmap } from "../parts/photo-view";
import { Save } from "../parts/save";
import { ByHand, Cautions, Grounds, VerdictBand } from "../parts/verdict";
import { useDraft } from "../state/draft";
import type * as outbox from "../state/outbox";
import type { Outcome, PlateAnswer, Quad, Reading } from "../types";
import { words } from "../words/more";

const WORST_FIRST: (Outcome | undefined)[] = ["unsuitable", "undecided", "conditional", "suitable", undefined];

/** The number of the plate with the worst outcome, the first of several. */
function worst(plates: PlateAnswer[]): number {
  const ranks = plates.map((plate) => WORST_FIRST.indexOf(plate.verdict?.outcome));
  return Math.max(0, ranks.indexOf(Math.min(...ranks)));
}

/** One plate of a photo as a reading of its own. */
function apart(plate: PlateAnswer | undefined, whole: Reading): Reading {
  if (!plate) return whole;
  return { ...plate, ...(whole.photo ? { photo: whole.photo } : {}), ...(whole.codes ? { codes: whole.codes } : {}), cautions: whole.cautions };
}

const textsOf = (plate: PlateAnswer): string[] => plate.lines.map((line) => line.text);

/** A plate as it was judged with the lines that a person typed. */
interface Judged {
  reading: Reading;
  texts: string[];
}

/** What came of a photo: each plate on it, with its verdict, and what to do with it. */
export function Answer({ item, keeps, onNext, onRemove }: { item: outbox.Answered; keeps: boolean; onNext: () => void; onRemove: () => void }) {
  const w = words();
  const plates = item.reading.plates ?? [];
  const several = plates.length > 1;
  const parts = several ? plates : [item.reading];
  const [at, setAt] = useState(() => worst(plates));
  // Of each plate by itself: looking at another one loses nothing.
  const [typed, setTyped] = useDraft<Record<number, string[]>>(`corrections ${item.key}`, {});
  const [judged, setJudged] = useState<Record<number, Judged>>({});
  const corrections = parts.map((plate, part) => {
    const lines = typed[part]?.filter((line) => line.trim()) ?? [];
    return lines.length === 0 || lines.join("\n") === textsOf(plate).join("\n") ? undefined : lines;
  });
  const first = apart(several ? plates[at] : undefined, item.reading);
  const { [at]: _, ...others } = typed;
  return (
    <>
      <h1 class="unseen">{w.photo.heading}</h1>
      {several && (
        <section class="plates">
          <p>
            <b>{w.photo.several({ n: plates.length })}</b> {w.photo.several_note}
          </p>
          <div class="choices" role="group" aria-label={w.photo.several({ n: plates.length })}>
            {plates.map((read, index) => {
              const plate = judged[index]?.reading ?? read;
              return (
                <button type="button" key={index} aria-pressed={index === at} onClick={() => setAt(index)}>
                  <b>{w.photo.plate({ number: index + 1 })}</b> <OutcomeWord outcome={plate.verdict?.outcome ?? "none"} />{" "}
                  <span class="read">{plate.markings.map((m) => m.text).join(" | ") || w.photo.unmarked}</span>
                </button>
              );
            })}
          </div>
        </section>
      )}
      <OnePlate
        key={at}
        item={item}
        first={first}
        judged={judged[at]}
        texts={typed[at] ?? textsOf(first)}
        plates={plates}
        at={at}
        onType={(texts) => setTyped({ ...others, [at]: texts })}
        onJudged={(reading, texts) => setJudged((now) => ({ ...now, [at]: { reading, texts } }))}
        onReset={() => {
          setTyped(others);
          setJudged(({ [at]: __, ...rest }) => rest);
        }}
      />
      {item.id !== undefined && <NeedsRole right="inspect" />}
      {keeps && <Save item={item} corrections={corrections} />}
      <Cautions cautions={item.reading.cautions} />
      <div class="row bottom">
        <button type="button" class="main" onClick={onNext}>
          {w.photo.next}
        </button>
        <button type="button" onClick={onRemove}>
          {w.common.remove}
        </button>
      </div>
    </>
  );
}

function OnePlate({
  item,
  first,
  judged,
  texts,
  plates,
  at,
  onType,
  onJudged,
  onReset,
}: {
  item: outbox.Answered;
  first: Reading;
  judged: Judged | undefined;
  texts: string[];
  plates: PlateAnswer[];
  at: number;
  onType: (texts: string[]) => void;
  onJudged: (reading: Reading, texts: string[]) => void;
  onReset: () => void;
}) {
  const w = words();
  const bitmap = useBitmap(item.photo);
  const [selected, setSelected] = useState<number>();
  const [place, setPlace] = useState<Quad>();
  const reading = judged?.reading ?? first;
  const show = (): void => document.querySelector(".photo")?.scrollIntoView({ block: "start" });
  return (
    <>
      {judged && <p role="status">{w.correct.changed}</p>}
      <VerdictBand reading={reading} placeName={item.placeName} />
      <PhotoView photo={item.photo} bitmap={bitmap} reading={reading} plates={plates} shown={at} selected={selected} place={place} onSelect={setSelected} />
      <Markings reading={reading} bitmap={bitmap} />
      <Grounds
        reading={reading}
        onShow={(span) => {
          setSelected(span.line);
          show();
        }}
      />
      <ByHand
        reading={reading}
        onShow={(quad) => {
          setPlace(quad);
          show();
        }}
      />
      <Correct
        reading={first}
        texts={texts}
        judged={judged?.texts ?? textsOf(first)}
        bitmap={bitmap}
        place={item.place}
        onType={onType}
        onJudged={onJudged}
        onReset={onReset}
      />
      <PlateFacts reading={reading} />
      <Codes codes={reading.codes} />
    </>
  );
}
