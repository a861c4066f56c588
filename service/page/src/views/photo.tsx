import { useEffect, useState } from "preact/hooks";
import { readPhoto } from "../api";
import { Camera } from "../parts/camera";
import { Flawed } from "../parts/flawed";
import { Later } from "../parts/later";
import { OutcomeWord } from "../parts/outcome";
import { ProblemNote } from "../parts/problem";
import { KeepingList, WaitingList } from "../parts/waiting";
import { address } from "../router";
import * as outbox from "../state/outbox";
import type { Named } from "../state/places";
import { moment, words } from "../words";

/** Take a photo, see at once whether it will do, then the answer. `keeps`: it may go into the register. */
export function PhotoPage({ place, keeps }: { place: Named | undefined; keeps: boolean }) {
  const w = words();
  const [waiting, setWaiting] = useState<outbox.Waiting[]>([]);
  const [answered, setAnswered] = useState<outbox.Answered[]>([]);
  const [keeping, setKeeping] = useState<outbox.Keeping[]>([]);
  const [open, setOpen] = useState<number>();
  // Where the browser keeps nothing: what is read at once, without a second try.
  const [unkept, setUnkept] = useState<outbox.Answered | "none" | "reading">();
  const [error, setError] = useState<unknown>();

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
        () => setUnkept((now) => now ?? "none"),
      );
    };
    refresh();
    return outbox.watch(refresh);
  }, []);

  const atOnce = async (file: File): Promise<void> => {
    setUnkept("reading");
    setError(undefined);
    try {
      const reading = await readPhoto(file, file.name, place?.place);
      const where = place ? { place: place.place, placeName: place.name } : {};
      setUnkept({ photo: file, name: file.name, ...where, key: outbox.freshKey(), at: new Date().toISOString(), reading });
    } catch (caught) {
      setUnkept("none");
      setError(caught);
    }
  };
  const taken = (files: FileList | null): void => {
    const list = [...(files ?? [])];
    // Of many, those that were taken long ago cannot be taken again.
    for (const file of list) outbox.put(file, place, list.length === 1).catch(() => void atOnce(file));
  };
  const next = (): void => {
    setOpen(undefined);
    setUnkept((now) => (now === undefined ? undefined : "none"));
    window.scrollTo(0, 0);
  };
  const shown = typeof unkept === "object" ? unkept : answered.find((one) => one.id === open);
  if (shown) {
    return (
      <Later
        show={({ Answer }) => (
          <Answer
            key={shown.id}
            item={shown}
            keeps={keeps && shown.id !== undefined}
            onNext={next}
            onRemove={() => {
              if (shown.id !== undefined) void outbox.dismiss(shown.id);
              next();
            }}
          />
        )}
      />
    );
  }
  const flawed = waiting.filter((item) => item.held && item.judgement);
  return (
    <>
      <h1>{w.photo.heading}</h1>
      {flawed.map((item) => item.judgement && <Flawed key={item.id} item={item} judgement={item.judgement} onAgain={taken} />)}
      <p>{w.photo.hint}</p>
      <div class="take">
        <Camera label={w.photo.take} main={flawed.length === 0} onTaken={taken} />
        <label class="button">
          {w.photo.pick}
          <input
            type="file"
            accept="image/jpeg,image/png,image/webp,image/tiff"
            multiple
            onChange={(event) => {
              taken(event.currentTarget.files);
              event.currentTarget.value = "";
            }}
          />
        </label>
        <a class="button" href={address("learn")}>
          {w.photo.type_it}
        </a>
      </div>
      {unkept && <p role="alert">{w.photo.no_storage}</p>}
      {unkept === "reading" && <progress aria-label={w.photo.reading} />}
      {error !== undefined && <ProblemNote error={error} />}
      <WaitingList items={waiting.filter((item) => !flawed.includes(item))} />
      <KeepingList items={keeping} />
      {answered.length > 0 && (
        <section>
          <h2>{w.photo.lines_heading}</h2>
          <ul class="choices">
            {answered.toReversed().map((one) => (
              <li key={one.id}>
                <button type="button" onClick={() => setOpen(one.id)}>
                  <OutcomeWord outcome={one.reading.verdict?.outcome ?? "none"} />{" "}
                  <span class="read">{one.reading.markings.map((m) => m.text).join(" | ") || w.photo.unmarked}</span>{" "}
                  <small>
                    {one.plates && `${w.save.saved} `}
                    {one.placeName ?? ""} {moment(one.at, true)}
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
