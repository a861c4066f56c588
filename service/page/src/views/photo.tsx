import { useEffect, useState } from "preact/hooks";
import { Correct } from "../parts/correct";
import { Markings, PlateFacts } from "../parts/marking";
import { PhotoView, useBitmap } from "../parts/photo-view";
import { Save } from "../parts/save";
import { ByHand, Cautions, Grounds, OutcomeWord, VerdictBand } from "../parts/verdict";
import { address } from "../router";
import * as outbox from "../state/outbox";
import type { Named } from "../state/places";
import { judge, type Judgement } from "../state/sharpness";
import type { Problem, Reading } from "../types";
import { words } from "../words";

/** Take a photo, see at once whether it will do, then the answer. */
export function PhotoPage({ place, register }: { place: Named | undefined; register: boolean }) {
  const w = words();
  const [waiting, setWaiting] = useState<outbox.Waiting[]>([]);
  const [answered, setAnswered] = useState<outbox.Answered[]>([]);
  const [keeping, setKeeping] = useState<outbox.Keeping[]>([]);
  const [open, setOpen] = useState<number>();
  const [doubt, setDoubt] = useState<{ file: File; judgement: Judgement }>();
  const [unkept, setUnkept] = useState(false);

  useEffect(() => {
    let known = new Set<number>();
    let first = true;
    const refresh = (): void => {
      Promise.all([outbox.waiting(), outbox.answered(), outbox.keeping()]).then(
        ([mine, theirs, saving]) => {
          setWaiting(mine);
          setKeeping(saving);
          setAnswered(theirs);
          // What has just been answered is what the person waits for.
          const fresh = theirs.filter((one) => one.id !== undefined && !known.has(one.id)).at(-1);
          known = new Set(theirs.flatMap((one) => one.id ?? []));
          if (!first && fresh?.id !== undefined) setOpen(fresh.id);
          first = false;
        },
        () => setUnkept(true),
      );
    };
    refresh();
    return outbox.watch(refresh);
  }, []);

  const keep = (file: File): void => {
    setDoubt(undefined);
    outbox.put(file, place).catch(() => setUnkept(true));
  };
  const taken = async (files: FileList | null): Promise<void> => {
    const list = [...(files ?? [])];
    const only = list.length === 1 ? list[0] : undefined;
    if (only) {
      const judgement = await judge(only).catch((): Judgement => "sharp");
      if (judgement !== "sharp") return setDoubt({ file: only, judgement });
    }
    list.forEach(keep);
  };
  const shown = answered.find((one) => one.id === open);
  if (shown) {
    return (
      <Answer
        key={shown.id}
        item={shown}
        register={register}
        onNext={() => {
          setOpen(undefined);
          window.scrollTo(0, 0);
        }}
      />
    );
  }
  return (
    <>
      <h1>{w.photo.heading}</h1>
      <p>{w.photo.hint}</p>
      <div class="take">
        <label class="button main">
          {w.photo.take}
          <input
            type="file"
            accept="image/*"
            capture="environment"
            onChange={(event) => {
              void taken(event.currentTarget.files);
              event.currentTarget.value = "";
            }}
          />
        </label>
        <label class="button">
          {w.photo.pick}
          <input
            type="file"
            accept="image/jpeg,image/png,image/webp,image/tiff"
            multiple
            onChange={(event) => {
              void taken(event.currentTarget.files);
              event.currentTarget.value = "";
            }}
          />
        </label>
        <a class="button" href={address("learn")}>
          {w.photo.type_it}
        </a>
      </div>
      {unkept && <p role="alert">{w.photo.no_storage}</p>}
      {doubt && doubt.judgement !== "sharp" && (
        <div class="problem" role="alert">
          <p>{w.photo[doubt.judgement]}</p>
          <button type="button" onClick={() => keep(doubt.file)}>
            {w.photo.use_anyway}
          </button>
        </div>
      )}
      <WaitingList items={waiting} />
      <KeepingList items={keeping} />
      {answered.length > 0 && (
        <section>
          <h2>{w.photo.lines_heading}</h2>
          <ul class="choices">
            {answered.toReversed().map((one) => (
              <li key={one.id}>
                <button type="button" onClick={() => setOpen(one.id)}>
                  <OutcomeWord outcome={one.reading.verdict?.outcome ?? "none"} />{" "}
                  <span class="read">{one.reading.markings.map((m) => m.text).join(" | ") || w.marking.none}</span>{" "}
                  <small>
                    {one.plate !== undefined && `${w.save.saved} `}
                    {one.placeName ?? ""} {new Date(one.at).toLocaleTimeString(document.documentElement.lang)}
                  </small>
                </button>
              </li>
            ))}
          </ul>
        </section>
      )}
    </>
  );
}

function WaitingList({ items }: { items: outbox.Waiting[] }) {
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
              <progress aria-label={w.photo.reading} />
            )}
          </li>
        ))}
      </ul>
      <p>{w.photo.kept}</p>
      <details>
        <summary>{w.more}</summary>
        <p>{w.photo.kept_note}</p>
      </details>
    </section>
  );
}

/** Photos on their way to the register. */
function KeepingList({ items }: { items: outbox.Keeping[] }) {
  const w = words();
  if (items.length === 0) return null;
  return (
    <section aria-live="polite">
      <h2>{w.save.waiting_heading}</h2>
      <ul class="waiting">
        {items.map((item) => (
          <li key={item.id}>
            <span>{[item.tag, item.name, item.location].filter(Boolean).join(" · ")}</span>
            {item.refused ? (
              <Refused
                problem={item.refused}
                onAgain={() => item.id !== undefined && void outbox.retry("keeping", item.id)}
                onRemove={() => item.id !== undefined && void outbox.unsave(item.id)}
              />
            ) : (
              <p>{w.photo.kept}</p>
            )}
          </li>
        ))}
      </ul>
    </section>
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
          {w.again}
        </button>
        <button type="button" onClick={onRemove}>
          {w.remove}
        </button>
      </div>
    </>
  );
}

function Answer({ item, register, onNext }: { item: outbox.Answered; register: boolean; onNext: () => void }) {
  const w = words();
  const bitmap = useBitmap(item.photo);
  const [corrected, setCorrected] = useState<Reading>();
  const [selected, setSelected] = useState<number>();
  const reading = corrected ?? item.reading;
  return (
    <>
      <h1 class="unseen">{w.photo.heading}</h1>
      {corrected && <p role="status">{w.correct.changed}</p>}
      <VerdictBand reading={reading} placeName={item.placeName} />
      <PhotoView photo={item.photo} bitmap={bitmap} reading={reading} selected={selected} onSelect={setSelected} />
      <Markings reading={reading} bitmap={bitmap} />
      <Grounds
        reading={reading}
        onShow={(span) => {
          setSelected(span.line);
          document.querySelector(".photo")?.scrollIntoView({ block: "start" });
        }}
      />
      <ByHand reading={reading} />
      <Correct reading={item.reading} bitmap={bitmap} place={item.place} onCorrected={setCorrected} />
      <PlateFacts reading={reading} />
      {register && <Save item={item} corrected={corrected} />}
      <Cautions cautions={reading.cautions} />
      <div class="row bottom">
        <button type="button" class="main" onClick={onNext}>
          {w.photo.next}
        </button>
        <button
          type="button"
          onClick={() => {
            if (item.id !== undefined) void outbox.dismiss(item.id);
            onNext();
          }}
        >
          {w.remove}
        </button>
      </div>
    </>
  );
}
