import { useEffect, useState } from "preact/hooks";
import { Correct } from "../parts/correct";
import { Markings, PlateFacts } from "../parts/marking";
import { PhotoView, useBitmap } from "../parts/photo-view";
import { ByHand, Cautions, Grounds, OutcomeWord, VerdictBand } from "../parts/verdict";
import { address } from "../router";
import * as outbox from "../state/outbox";
import type { Named } from "../state/places";
import { judge, type Judgement } from "../state/sharpness";
import type { Reading } from "../types";
import { words } from "../words";

/** Take a photo, see at once whether it will do, then the answer. */
export function PhotoPage({ place }: { place: Named | undefined }) {
  const w = words();
  const [waiting, setWaiting] = useState<outbox.Waiting[]>([]);
  const [answered, setAnswered] = useState<outbox.Answered[]>([]);
  const [open, setOpen] = useState<number>();
  const [doubt, setDoubt] = useState<{ file: File; judgement: Judgement }>();
  const [unkept, setUnkept] = useState(false);

  useEffect(() => {
    let known = new Set<number>();
    let first = true;
    const refresh = (): void => {
      Promise.all([outbox.waiting(), outbox.answered()]).then(
        ([mine, theirs]) => {
          setWaiting(mine);
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
    outbox.put(file, place?.place, place?.name).catch(() => setUnkept(true));
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
              <>
                <p role="alert">
                  {w.photo.refused}: {item.refused.detail ?? item.refused.title}
                </p>
                <div class="row">
                  <button type="button" onClick={() => item.id !== undefined && void outbox.retry(item.id)}>
                    {w.again}
                  </button>
                  <button type="button" onClick={() => item.id !== undefined && void outbox.drop(item.id)}>
                    {w.remove}
                  </button>
                </div>
              </>
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

function Answer({ item, onNext }: { item: outbox.Answered; onNext: () => void }) {
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
