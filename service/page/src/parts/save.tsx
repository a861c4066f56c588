import { useState } from "preact/hooks";
import { address } from "../router";
import { useDraft } from "../state/draft";
import * as outbox from "../state/outbox";
import * as people from "../state/person";
import { words } from "../words/more";

/** Keeps a photo in the register, with the tag and the corrected lines of each plate, and a note; without a network it waits here. */
export function Save({ item, corrections }: { item: outbox.Answered; corrections: (string[] | undefined)[] }) {
  const w = words();
  const [{ tags, note }, setDraft] = useDraft<{ tags: string[]; note: string }>(`keep ${item.key}`, { tags: [], note: "" });
  const [who, setWho] = useState(people.person());
  const [unkept, setUnkept] = useState(false);
  const several = corrections.length > 1;
  const of = (part: number): string => w.photo.plate({ number: part + 1 });
  if (item.plates) {
    return (
      <section>
        <h2>{w.save.heading}</h2>
        <p role="status">
          {w.save.saved}{" "}
          {item.plates.map((plate, part) => (
            <a key={part} class="beside" href={`${address("register")}/${plate}`}>
              {several ? of(part) : w.review.all}
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
              note: note.trim(),
              who: who.trim(),
              ...(place ? { place } : {}),
              ...(item.placeName ? { location: item.placeName } : {}),
              said: corrections.map((lines, part) => ({ tag: tags[part]?.trim() ?? "", ...(lines ? { lines } : {}) })),
            })
            .catch(() => setUnkept(true));
        }}
      >
        <div class="figures wide">
          {corrections.map((_, part) => (
            <label key={part}>
              {several ? `${w.save.tag}, ${of(part)}` : w.save.tag}
              <input
                value={tags[part] ?? ""}
                maxLength={200}
                autocomplete="off"
                onInput={(event) => setDraft({ tags: corrections.map((_, one) => (one === part ? event.currentTarget.value : (tags[one] ?? ""))), note })}
              />
            </label>
          ))}
          {!people.isAccount() && (
            <label>
              {w.save.who}
              <input value={who} required maxLength={200} autocomplete="name" onInput={(event) => setWho(event.currentTarget.value)} />
            </label>
          )}
        </div>
        <label>
          {w.save.note}
          <textarea value={note} rows={2} maxLength={2000} onInput={(event) => setDraft({ tags, note: event.currentTarget.value })} />
        </label>
        {corrections.some(Boolean) && (
          <p>
            {w.save.with_correction} {several && corrections.flatMap((lines, part) => (lines ? of(part) : [])).join(", ")}
          </p>
        )}
        {unkept && <p role="alert">{w.photo.no_storage}</p>}
        <button class="main">{w.save.save}</button>
      </form>
    </section>
  );
}
