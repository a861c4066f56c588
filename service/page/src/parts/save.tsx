import { useState } from "preact/hooks";
import { address } from "../router";
import { useDraft } from "../state/draft";
import * as outbox from "../state/outbox";
import * as people from "../state/person";
import { words } from "../words/more";

/** Keeps a photo in the register, with tag and note; without a network it waits here. */
export function Save({ item, corrections }: { item: outbox.Answered; corrections: outbox.Correction[] }) {
  const w = words();
  const [{ tag, note }, setDraft] = useDraft(`save ${item.key}`, { tag: "", note: "" });
  const [who, setWho] = useState(people.person());
  const [unkept, setUnkept] = useState(false);
  const several = (item.reading.plates?.length ?? 0) > 1;
  if (item.plates) {
    return (
      <section>
        <h2>{w.save.heading}</h2>
        <p role="status">
          {w.save.saved}{" "}
          {item.plates.map((plate, part) => (
            <a key={part} class="beside" href={`${address("register")}/${plate}`}>
              {several ? w.photo.plate({ number: part + 1 }) : w.review.all}
            </a>
          ))}
        </p>
        {item.remarks?.map((remark, index) => <p key={index}>{remark}</p>)}
      </section>
    );
  }
  if (item.saving) {
    return (
      <section>
        <h2>{w.save.heading}</h2>
        <p role="status">{w.save.waits}</p>
      </section>
    );
  }
  return (
    <section>
      <h2>{w.save.heading}</h2>
      <form
        onSubmit={(event) => {
          event.preventDefault();
          people.name(who.trim());
          const place = item.ofSite ? undefined : item.place;
          outbox
            .save(item, {
              tag: tag.trim(),
              note: note.trim(),
              who: who.trim(),
              ...(place ? { place } : {}),
              ...(item.placeName ? { location: item.placeName } : {}),
              corrections,
            })
            .catch(() => setUnkept(true));
        }}
      >
        <div class="figures wide">
          <label>
            {w.save.tag}
            <input value={tag} maxLength={200} autocomplete="off" onInput={(event) => setDraft({ tag: event.currentTarget.value, note })} />
          </label>
          {!people.isAccount() && (
            <label>
              {w.save.who}
              <input value={who} required maxLength={200} autocomplete="name" onInput={(event) => setWho(event.currentTarget.value)} />
            </label>
          )}
        </div>
        <label>
          {w.save.note}
          <textarea value={note} rows={2} maxLength={2000} onInput={(event) => setDraft({ tag, note: event.currentTarget.value })} />
        </label>
        {corrections.length > 0 && (
          <p>
            {w.save.with_correction} {several && corrections.map(({ part }) => w.photo.plate({ number: part + 1 })).join(", ")}
          </p>
        )}
        {unkept && <p role="alert">{w.photo.no_storage}</p>}
        <button class="main">{w.save.save}</button>
      </form>
    </section>
  );
}
