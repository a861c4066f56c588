import { useEffect, useRef, useState } from "preact/hooks";
import { NeedsRole } from "../parts/needs-role";
import { ProblemNote } from "../parts/problem";
import * as imports from "../imports";
import { address, go } from "../router";
import * as people from "../state/person";
import { moment, number, whole, words } from "../words/more";

/** Photos by the folder or the archive: what is brought, how far it is, what needs a person. */
export function ImportPage({ id, places }: { id: string; places: string[] }) {
  return id ? <OneImport key={id} id={id} /> : <Bring places={places} />;
}

function Bring({ places }: { places: string[] }) {
  const w = words();
  const [who, setWho] = useState(people.person());
  const [location, setLocation] = useState("");
  const [over, setOver] = useState(false);
  const [sent, setSent] = useState<number>();
  const [error, setError] = useState<unknown>();
  const [all, setAll] = useState<imports.Import[]>();
  useEffect(() => {
    imports.latest().then(setAll, setError);
  }, []);
  const send = async (found: imports.Found[]): Promise<void> => {
    if (found.length === 0) return;
    people.name(who.trim());
    setError(undefined);
    setSent(0);
    try {
      const begun = await imports.send(found, who.trim(), location, setSent);
      go(`import/${begun.id}`);
    } catch (caught) {
      setError(caught);
    }
    setSent(undefined);
  };
  const pick = (label: string, attributes: Record<string, unknown>) => (
    <label class="button">
      {label}
      <input
        type="file"
        {...attributes}
        onChange={(event) => {
          void send(imports.picked(event.currentTarget.files));
          event.currentTarget.value = "";
        }}
      />
    </label>
  );
  return (
    <>
      <h1>{w.imports.heading}</h1>
      <p>{w.imports.hint}</p>
      <NeedsRole right="inspect" />
      <div class="figures wide">
        {!people.isAccount() && (
          <label>
            {w.save.who}
            <input value={who} autocomplete="name" onInput={(event) => setWho(event.currentTarget.value)} />
          </label>
        )}
        <label>
          {w.imports.location}
          <select value={location} onChange={(event) => setLocation(event.currentTarget.value)}>
            <option value="">{w.imports.by_folder}</option>
            {places.map((one) => (
              <option key={one} value={one}>
                {one}
              </option>
            ))}
          </select>
        </label>
      </div>
      {error !== undefined && <ProblemNote error={error} />}
      {people.may("inspect") && (sent === undefined ? (
        <div
          class={`bring ${over ? "over" : ""}`}
          onDragOver={(event) => {
            event.preventDefault();
            setOver(true);
          }}
          onDragLeave={() => setOver(false)}
          onDrop={(event) => {
            event.preventDefault();
            setOver(false);
            if (event.dataTransfer) void imports.dropped(event.dataTransfer).then(send, setError);
          }}
        >
          <p class="desk">{w.imports.drop}</p>
          <div class="take even">
            {pick(w.imports.folder, { webkitdirectory: true })}
            {pick(w.imports.archive, { accept: ".zip,.tar,.tgz,.gz" })}
            {pick(w.imports.photos, { accept: "image/*", multiple: true })}
          </div>
        </div>
      ) : (
        <div role="status">
          <p>{w.imports.sending}</p>
          <progress aria-label={w.imports.sending} value={sent} max={1} />
        </div>
      ))}
      {all && all.length > 0 && (
        <section>
          <h2>{w.imports.earlier}</h2>
          <ul class="choices">
            {all.map((one) => (
              <li key={one.id}>
                <a class="button" href={`${address("import")}/${one.id}`}>
                  <b>{w.imports.state[one.state]}</b>
                  <span>{moment(one.started_at)}</span>
                  <small>
                    {one.sources.join(", ")} · {w.imports.count.taken}: {number(one.taken)} · {w.imports.count.held}: {number(one.held)}
                  </small>
                </a>
              </li>
            ))}
          </ul>
        </section>
      )}
    </>
  );
}

const COUNTS = ["taken", "held", "refused", "failed"] as const;

function OneImport({ id }: { id: string }) {
  const w = words();
  const [now, setNow] = useState<imports.Import>();
  const [detail, setDetail] = useState<imports.Detail>();
  const [error, setError] = useState<unknown>();
  const [round, setRound] = useState(0);
  const heading = useRef<HTMLHeadingElement>(null);
  useEffect(() => heading.current?.focus(), []);
  useEffect(() => {
    const look = (): void =>
      void imports.one(id).then((found) => {
        setDetail(found);
        setNow(found);
      }, setError);
    look();
    return imports.follow(id, setNow, look);
  }, [id, round]);
  const ask = async (wish: "pause" | "resume" | "cancel"): Promise<void> => {
    setError(undefined);
    try {
      const answer = await imports.ask(Number(id), wish);
      if (answer.id !== Number(id)) return go(`import/${answer.id}`);
      setNow(answer);
      setRound(round + 1);
    } catch (caught) {
      setError(caught);
    }
  };
  const running = now && ["running", "paused", "stopping"].includes(now.state);
  return (
    <>
      <h1 ref={heading} tabIndex={-1}>
        {w.imports.heading}
      </h1>
      {error !== undefined && <ProblemNote error={error} onRetry={() => setRound(round + 1)} />}
      {!now && error === undefined && <progress aria-label={w.common.loading} />}
      {now && (
        <>
          <p>
            <b>{w.imports.state[now.state]}</b> · {now.sources.join(", ")} · {now.who} · {moment(now.started_at)}
          </p>
          {running && (
            <>
              <progress aria-label={w.imports.state[now.state]} {...(now.total ? { value: now.seen, max: now.total } : {})} />
              <p>
                {now.total === undefined
                  ? w.imports.so_far({ seen: number(now.seen) })
                  : w.imports.of({ seen: number(now.seen), total: number(now.total) })}
                {now.rate_per_s !== undefined && ` · ${w.imports.rate({ n: number(now.rate_per_s, 1) })}`}
                {now.left_s !== undefined && ` · ${w.imports.time_left({ time: lasting(now.left_s) })}`}
              </p>
            </>
          )}
          <dl class="counts">
            <div>
              <dt>{w.imports.count.seen}</dt>
              <dd>{number(now.seen)}</dd>
            </div>
            {COUNTS.map((one) => (
              <div key={one}>
                <dt>{w.imports.count[one]}</dt>
                <dd>{number(now[one])}</dd>
              </div>
            ))}
          </dl>
          {now.left > 0 && <p>{w.imports.left({ n: now.left })}</p>}
          <div class="row">
            {(people.may("inspect") ? now.can : []).map((wish) => (
              <button key={wish} type="button" class={wish === "resume" ? "main" : ""} onClick={() => void ask(wish)}>
                {wish === "resume" && now.state === "done" ? w.imports.retry : w.imports.wish[wish]}
              </button>
            ))}
          </div>
          {now.resumed_by !== undefined && (
            <p>
              <a href={`${address("import")}/${now.resumed_by}`}>{w.imports.resumed}</a>
            </p>
          )}
          {!running && detail && <Summary detail={detail} />}
        </>
      )}
      <p>
        <a class="button" href={address("import")}>
          {w.imports.another}
        </a>
      </p>
    </>
  );
}

/** What came of it, and straight on to what needs a person. */
function Summary({ detail }: { detail: imports.Detail }) {
  const w = words();
  return (
    <section>
      <h2>{w.imports.person}</h2>
      {detail.waiting > 0 ? (
        <p>
          {w.imports.waiting({ n: detail.waiting })}{" "}
          <a class="button main" href={address("review")}>
            {whole(w.nav.view.review)}
          </a>
        </p>
      ) : (
        <p>{w.imports.none_waiting}</p>
      )}
      {detail.problems.length > 0 && (
        <>
          <h2>{w.imports.not_taken}</h2>
          <ul class="waiting">
            {detail.problems.map((problem, index) => (
              <li key={index}>
                <span class="read">{problem.source}</span>
                <br />
                {problem.failed ? w.imports.count.failed : w.imports.count.refused}: {problem.reason}
              </li>
            ))}
          </ul>
        </>
      )}
    </section>
  );
}

/** A duration in the two units that matter. */
function lasting(seconds: number): string {
  const unit = (value: number, name: "hour" | "minute" | "second"): string =>
    new Intl.NumberFormat(document.documentElement.lang, { style: "unit", unit: name, unitDisplay: "short" }).format(value);
  const [hours, minutes] = [Math.floor(seconds / 3600), Math.floor(seconds / 60) % 60];
  if (hours > 0) return `${unit(hours, "hour")} ${unit(minutes, "minute")}`;
  return minutes > 0 ? `${unit(minutes, "minute")} ${unit(seconds % 60, "second")}` : unit(seconds, "second");
}
