import { useEffect, useState } from "preact/hooks";
import { require, type Requirement } from "../api";
import { PlaceForm } from "../parts/place-form";
import { ProblemNote } from "../parts/problem";
import * as places from "../state/places";
import { words } from "../words";

/** The places, each with what it asks of equipment. */
export function PlacesPage({ all, onChange }: { all: places.Named[]; onChange: () => void }) {
  const w = words();
  const [making, setMaking] = useState(false);
  return (
    <>
      <h1>{w.nav.view.places}</h1>
      {all.length === 0 && <p>{w.place.empty}</p>}
      {all.map((one) => (
        <OnePlace key={`${one.origin} ${one.name}`} named={one} onChange={onChange} />
      ))}
      <button type="button" aria-expanded={making} onClick={() => setMaking(!making)}>
        {w.place.new}
      </button>
      {making && (
        <PlaceForm
          onUse={(name, place) => {
            places.add(name, place);
            setMaking(false);
            onChange();
          }}
        />
      )}
    </>
  );
}

function OnePlace({ named, onChange }: { named: places.Named; onChange: () => void }) {
  const w = words();
  const [changing, setChanging] = useState(false);
  return (
    <section class="card">
      <h2>{named.name}</h2>
      <p>
        {places.inShort(named.place, w.place.zone.toLowerCase())}
        <br />
        <small>{named.origin === "site" ? w.place.from_site : w.place.own}</small>
      </p>
      <Needs place={named} />
      {named.origin === "own" && (
        <div class="row">
          <button type="button" aria-expanded={changing} onClick={() => setChanging(!changing)}>
            {w.place.change}
            <span class="unseen">: {named.name}</span>
          </button>
          <button
            type="button"
            onClick={() => {
              places.forget(named.name);
              onChange();
            }}
          >
            {w.place.remove}
            <span class="unseen">: {named.name}</span>
          </button>
        </div>
      )}
      {changing && (
        <PlaceForm
          place={named.place}
          name={named.name}
          onUse={(name, place) => {
            if (name !== named.name) places.forget(named.name);
            places.add(name, place);
            setChanging(false);
            onChange();
          }}
        />
      )}
    </section>
  );
}

function Needs({ place }: { place: places.Named }) {
  const w = words();
  const [needs, setNeeds] = useState<Requirement>();
  const [error, setError] = useState<unknown>();
  useEffect(() => {
    require(place.place).then(setNeeds, setError);
  }, [JSON.stringify(place.place)]);
  if (error !== undefined) return <ProblemNote error={error} />;
  if (!needs) return <progress aria-label={w.common.loading} />;
  return (
    <>
      <h3>{w.place.needs}</h3>
      <p class="read">{needs.order_line}</p>
      {needs.missing && needs.missing.length > 0 && (
        <>
          <h3>{w.place.needs_missing}</h3>
          <ul>
            {needs.missing.map((one, index) => (
              <li key={index}>{one}</li>
            ))}
          </ul>
        </>
      )}
      <details>
        <summary>{w.place.types}</summary>
        {needs.needs.map((need, index) => (
          <dl class="facts" key={index}>
            {need.types.map((type) => (
              <div key={type.symbol}>
                <dt>{type.symbol}</dt>
                <dd>
                  {type.name} ({type.standard}), {type.epl}
                </dd>
              </div>
            ))}
          </dl>
        ))}
        <ul>
          {needs.notes?.map((note, index) => (
            <li key={index}>{note}</li>
          ))}
        </ul>
      </details>
    </>
  );
}
