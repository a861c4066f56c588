import { useEffect, useState } from "preact/hooks";
import { Codes } from "../parts/codes";
import { History } from "../parts/history";
import { Markings, PlateFacts } from "../parts/marking";
import { OutcomeWord } from "../parts/outcome";
import { Overview } from "../parts/overview";
import { ProblemNote } from "../parts/problem";
import { ByHand, Cautions, Grounds, VerdictBand } from "../parts/verdict";
import * as register from "../register";
import { address, go, type Where } from "../router";
import { useLatest } from "../state/latest";
import * as people from "../state/person";
import { whole, words } from "../words/more";

const OUTCOMES = ["unsuitable", "undecided", "conditional", "suitable", "not-judged"] as const;
const REVIEWS = ["open", "waiting", "put_back", "settled", "not_needed"] as const;

/** The equipment by place and outcome; the filters stand in the address. */
export function RegisterPage({ where }: { where: Where }) {
  return where.id ? <OnePlate key={where.id} id={where.id} /> : <List where={where} />;
}

function List({ where }: { where: Where }) {
  const w = words();
  const [rows, setRows] = useState<register.PlateRow[]>();
  const [next, setNext] = useState<string>();
  const [locations, setLocations] = useState<register.Location[]>([]);
  const [error, setError] = useState<unknown>();
  const latest = useLatest();
  const filters = where.query.toString();
  const load = (cursor?: string): void => {
    setError(undefined);
    const query = new URLSearchParams(filters);
    if (cursor) query.set("cursor", cursor);
    latest(register.plates(query)).then((page) => {
      setRows((old) => (cursor ? [...(old ?? []), ...page.plates] : page.plates));
      setNext(page.next);
    }, setError);
  };
  useEffect(() => load(), [filters]);
  useEffect(() => {
    register.locations().then(setLocations, () => undefined);
  }, []);
  const set = (key: string, value: string): void =>
    go("register", { ...Object.fromEntries(where.query), [key]: value });
  const pick = (key: string, label: string, values: readonly (readonly [string, string])[]) => (
    <label>
      {label}
      <select value={where.query.get(key) ?? ""} onChange={(event) => set(key, event.currentTarget.value)}>
        <option value="">{w.register.any}</option>
        {values.map(([value, shown]) => (
          <option key={value} value={value}>
            {shown}
          </option>
        ))}
      </select>
    </label>
  );
  return (
    <>
      <h1>{whole(w.nav.view.register)}</h1>
      <form
        class="figures"
        role="search"
        onSubmit={(event) => {
          event.preventDefault();
          set("text", new FormData(event.currentTarget).get("text") as string);
        }}
      >
        <label class="whole">
          {w.register.text}
          <input type="search" name="text" key={where.query.get("text")} defaultValue={where.query.get("text") ?? ""} />
        </label>
        {pick("location", w.register.location, [...locations.map((one) => [one.tag, one.tag] as const), ["-", w.register.nowhere] as const])}
        {pick("outcome", w.register.outcome, OUTCOMES.map((one) => [one, one === "not-judged" ? w.outcome.word.none : w.outcome.word[one]] as const))}
        {pick("review", w.register.review, REVIEWS.map((one) => [one, w.register.state[one]] as const))}
        <button class="align">{w.register.find}</button>
      </form>
      <Overview />
      <Papers filters={where.query} />
      {error !== undefined && <ProblemNote error={error} onRetry={() => load()} />}
      {rows?.length === 0 && <p>{filters ? w.register.none : w.register.empty}</p>}
      <ul class="choices">
        {rows?.map((row) => (
          <li key={row.id}>
            <a class="button" href={`${address("register")}/${row.id}`}>
              <OutcomeWord outcome={row.outcome ?? "none"} />
              <span class="read">{row.marking || w.photo.unmarked}</span>
              <small>
                {[row.tag, row.location, row.maker, row.type, row.serial].filter(Boolean).join(" · ")}
                {row.review !== "not_needed" && ` · ${w.register.state[row.review]}`}
              </small>
            </a>
          </li>
        ))}
      </ul>
      {next && (
        <button type="button" onClick={() => load(next)}>
          {w.common.more}
        </button>
      )}
    </>
  );
}

/** The same plates on paper, and more of them. */
function Papers({ filters }: { filters: URLSearchParams }) {
  const w = words();
  const to = (path: string, more: Record<string, string> = {}): string => {
    const query = new URLSearchParams(more);
    for (const key of ["text", "location", "outcome", "review"]) {
      const value = filters.get(key);
      if (value) query.set(key, value);
    }
    return `v1/plates/${path}?${query}`;
  };
  return (
    <details>
      <summary>{w.register.papers}</summary>
      <p>{filters.size > 0 ? w.register.papers_some : w.register.papers_all}</p>
      <div class="row">
        <a class="button" download href={to("report")}>
          {w.register.report}
        </a>
        <a class="button" download href={to("export", { format: "xlsx" })}>
          {w.register.workbook}
        </a>
        <a class="button" download href={to("export", { format: "csv", bom: "true" })}>
          {w.register.csv}
        </a>
        {people.may("inspect") && (
          <a class="button" href={address("import")}>
            {w.imports.heading}
          </a>
        )}
      </div>
    </details>
  );
}

/** What was found in an inspection, in short. */
function Inspections({ all }: { all: register.Inspection[] }) {
  const w = words();
  return (
    <dl class="facts">
      {all.map((one) => (
        <div key={one.id}>
          <dt>
            {one.date}, {w.inspect.grades[one.grade]}
          </dt>
          <dd>
            {w.inspect.kinds[one.kind]}, {one.inspector}.{" "}
            {w.inspect.counted({
              failed: one.items.filter((item) => item.result === "fail").length,
              open: one.items.filter((item) => item.result === "not_checked").length,
            })}{" "}
            {one.next && w.inspect.next({ date: one.next })}
            {one.findings.map((finding, index) => (
              <p key={index}>
                {finding.priority}: {finding.text} {finding.due && `(${finding.due})`}
              </p>
            ))}
          </dd>
        </div>
      ))}
    </dl>
  );
}

function OnePlate({ id }: { id: string }) {
  const w = words();
  const [plate, setPlate] = useState<register.Plate>();
  const [error, setError] = useState<unknown>();
  useEffect(() => {
    register.plate(id).then(setPlate, setError);
  }, []);
  if (error !== undefined) return <ProblemNote error={error} />;
  if (!plate) return <progress aria-label={w.common.loading} />;
  return (
    <>
      <h1>{[plate.tag, plate.maker, plate.type, plate.serial].filter(Boolean).join(" · ") || `${whole(w.nav.view.register)} ${plate.id}`}</h1>
      <VerdictBand reading={plate.answer} placeName={plate.location} />
      <p>
        {w.register.state[plate.review]}
        {plate.put_back && `: ${plate.put_back}`}
      </p>
      {plate.photos > 0 && (
        <a href={`v1/plates/${plate.id}/photo`} target="_blank" rel="noopener">
          <img class="entry-crop" src={`v1/plates/${plate.id}/crop`} alt={w.review.crop({ marking: plate.marking || w.photo.unmarked })} />
        </a>
      )}
      {plate.beside && plate.beside.length > 0 && (
        <p>
          {w.register.beside}{" "}
          {plate.beside.map((other) => (
            <a key={other} class="beside" href={`${address("register")}/${other}`}>
              {w.register.plate({ number: other })}
            </a>
          ))}
        </p>
      )}
      <Markings reading={plate.answer} />
      <Grounds reading={plate.answer} />
      <ByHand reading={plate.answer} />
      {plate.differences && plate.differences.length > 0 && (
        <ul>
          {plate.differences.map((one, index) => (
            <li key={index}>{one}</li>
          ))}
        </ul>
      )}
      <PlateFacts reading={plate.answer} />
      <Codes codes={plate.answer.codes} />
      <section>
        <h2>{w.inspect.all}</h2>
        {plate.inspections.length === 0 && <p>{w.inspect.none}</p>}
        <Inspections all={plate.inspections} />
        {people.may("inspect") && (
          <a class="button" href={`${address("inspect")}/${plate.id}`}>
            {w.inspect.heading}
          </a>
        )}
      </section>
      <History events={plate.history} />
      <Cautions cautions={plate.answer.cautions} />
    </>
  );
}
