import { useEffect, useState } from "preact/hooks";
import { require, type Requirement } from "../api";
import { PlaceForm } from "../parts/place-form";
import { ProblemNote } from "../parts/problem";
import * as register from "../register";
import * as people from "../state/person";
import * as places from "../state/places";
import { whole, words } from "../words";

/** From so many on they are searched. */
const MANY = 6;

/** The places, each with what it asks of equipment; those of the site are for whoever may say what they are. */
export function PlacesPage({ all, kept, onChange }: { all: places.Named[]; kept: boolean; onChange: () => void }) {
  const w = words();
  const [making, setMaking] = useState<"own" | "site">();
  const [search, setSearch] = useState("");
  const editable = kept && people.may("administer");
  const toggle = (what: "own" | "site"): void => setMaking(making === what ? undefined : what);
  return (
    <>
      <h1>{whole(w.nav.view.places)}</h1>
      {all.length === 0 && <p>{w.place.empty}</p>}
      {all.length > MANY && (
        <label>
          {w.place.search}
          <input type="search" value={search} onInput={(event) => setSearch(event.currentTarget.value)} />
        </label>
      )}
      <div class="row">
        <button type="button" aria-expanded={making === "own"} onClick={() => toggle("own")}>
          {w.place.new}
        </button>
        {editable && (
          <button type="button" aria-expanded={making === "site"} onClick={() => toggle("site")}>
            {w.place.new_site}
          </button>
        )}
      </div>
      {editable && !people.isAccount() && (
        <label>
          {w.save.who}
          <input defaultValue={people.person()} autocomplete="name" onInput={(event) => people.name(event.currentTarget.value.trim())} />
        </label>
      )}
      {making === "own" && (
        <PlaceForm
          onUse={(name, place) => {
            places.add(name, place);
            setMaking(undefined);
            onChange();
          }}
        />
      )}
      {making === "site" && (
        <SiteForm
          onDone={() => {
            setMaking(undefined);
            onChange();
          }}
        />
      )}
      {editable && <SiteFile onTaken={onChange} />}
      {all
        .filter((one) => places.isNamed(one, search))
        .map((one) => (
          <OnePlace key={`${one.origin} ${one.name}`} named={one} editable={one.origin === "own" || editable} onChange={onChange} />
        ))}
    </>
  );
}

/** A location of the site is added or changed for everybody. */
function SiteForm({ named, onDone }: { named?: places.Named; onDone: () => void }) {
  const [error, setError] = useState<unknown>();
  return (
    <>
      <PlaceForm
        site
        place={named?.place}
        name={named?.name}
        description={named?.description}
        onUse={(tag, place, description) => {
          setError(undefined);
          register.putLocation(tag, description, place, people.person(), named?.version).then(onDone, setError);
        }}
      />
      {error !== undefined && <ProblemNote error={error} />}
    </>
  );
}

/** Brings the locations of a file. */
function SiteFile({ onTaken }: { onTaken: () => void }) {
  const w = words();
  const [taken, setTaken] = useState<register.SiteTaken>();
  const [error, setError] = useState<unknown>();
  const take = async (file: File | undefined): Promise<void> => {
    if (!file) return;
    setError(undefined);
    setTaken(undefined);
    try {
      setTaken(await register.takeSite(await file.text(), /\.toml$/i.test(file.name), people.person()));
      onTaken();
    } catch (caught) {
      setError(caught);
    }
  };
  return (
    <details>
      <summary>{w.place.import}</summary>
      <p>{w.place.import_note}</p>
      <div class="take even">
        <label class="button">
          {w.place.import}
          <input
            type="file"
            accept=".csv,.toml,text/csv"
            onChange={(event) => {
              void take(event.currentTarget.files?.[0]);
              event.currentTarget.value = "";
            }}
          />
        </label>
      </div>
      {taken && <p role="status">{w.place.imported({ ...taken })}</p>}
      {error !== undefined && <ProblemNote error={error} />}
    </details>
  );
}

function OnePlace({ named, editable, onChange }: { named: places.Named; editable: boolean; onChange: () => void }) {
  const w = words();
  const [changing, setChanging] = useState(false);
  const own = named.origin === "own";
  const done = (): void => {
    setChanging(false);
    onChange();
  };
  return (
    <section class="card">
      <h2>
        {named.name} {named.description && <small>{named.description}</small>}
      </h2>
      <p>
        {places.inShort(named.place, w.place.zone.toLowerCase())}
        <br />
        <small>{own ? w.place.own : w.place.from_site}</small>
      </p>
      <Needs place={named} />
      {editable && (
        <div class="row">
          <button type="button" aria-expanded={changing} onClick={() => setChanging(!changing)}>
            {w.place.change}
            <span class="unseen">: {named.name}</span>
          </button>
          {own && (
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
          )}
        </div>
      )}
      {changing && !own && <SiteForm named={named} onDone={done} />}
      {changing && own && (
        <PlaceForm
          place={named.place}
          name={named.name}
          onUse={(name, place) => {
            if (name !== named.name) places.forget(named.name);
            places.add(name, place);
            done();
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
