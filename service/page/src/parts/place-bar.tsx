import { useState } from "preact/hooks";
import * as places from "../state/places";
import { words } from "../words";
import { PlaceForm } from "./place-form";

/** The place for which everything on this page is judged; always in sight. */
export function PlaceBar({
  chosen,
  all,
  onChoose,
}: {
  chosen: places.Named | undefined;
  all: places.Named[];
  onChoose: (place: places.Named | undefined) => void;
}) {
  const w = words();
  const [open, setOpen] = useState(false);
  const [search, setSearch] = useState("");
  const [making, setMaking] = useState(false);
  const zone = w.place.zone.toLowerCase();
  const recent = places.recent();
  const known = [
    ...recent,
    ...all.filter((one) => !recent.some((r) => r.name === one.name && r.origin === one.origin)),
  ].filter((one) => places.isNamed(one, search));
  const take = (place: places.Named | undefined): void => {
    onChoose(place);
    setOpen(false);
    setMaking(false);
    setSearch("");
  };
  return (
    <section class="place-bar" aria-label={w.place.heading}>
      <button type="button" class="place-now" aria-expanded={open} onClick={() => setOpen(!open)}>
        {chosen ? (
          <span>
            <b>{chosen.name}</b> <span class="place-short">{places.inShort(chosen.place, zone)}</span>
          </span>
        ) : (
          <span>{w.place.none}</span>
        )}
        <span class="change">{chosen ? w.place.change : w.place.choose}</span>
      </button>
      {open && (
        <div class="place-choice">
          {known.length + (search ? 1 : 0) > 4 && (
            <label>
              {w.place.search}
              <input type="search" value={search} onInput={(event) => setSearch(event.currentTarget.value)} />
            </label>
          )}
          {search && known.length === 0 && <p>{w.place.no_match}</p>}
          <ul class="choices">
            {known.map((one) => (
              <li key={`${one.origin} ${one.name}`}>
                <button type="button" onClick={() => take(one)}>
                  <b>{one.name}</b> {one.description} <span class="place-short">{places.inShort(one.place, zone)}</span>
                </button>
              </li>
            ))}
          </ul>
          <div class="row">
            <button type="button" aria-expanded={making} onClick={() => setMaking(!making)}>
              {w.place.new}
            </button>
            {chosen && (
              <button type="button" onClick={() => take(undefined)}>
                {w.place.without}
              </button>
            )}
          </div>
          {making && <PlaceForm onUse={(name, place) => take(places.add(name, place))} />}
        </div>
      )}
    </section>
  );
}
