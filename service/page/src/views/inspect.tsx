import { useEffect, useState } from "preact/hooks";
import { NeedsRole } from "../parts/needs-role";
import { ProblemNote } from "../parts/problem";
import * as register from "../register";
import { address, go } from "../router";
import { useLatest } from "../state/latest";
import * as people from "../state/person";
import { words } from "../words/more";

const SECTIONS = ["equipment", "installation", "environment"] as const;
const PRIORITIES = [1, 2, 3, 4] as const;

/** What is typed, kept over a reload. */
interface Form {
  grade: register.Grade;
  kind: register.Kind;
  date: string;
  inspector: string;
  competence: string;
  months: string;
  answers: Record<string, { result?: register.Result; note?: string }>;
  findings?: register.Finding[];
}

const COMPETENCE = "competence";

function begin(id: string): Form {
  const fresh: Form = {
    grade: "close",
    kind: "periodic",
    date: new Date().toLocaleDateString("sv"),
    inspector: people.person(),
    competence: localStorage.getItem(COMPETENCE) ?? "",
    months: "36",
    answers: {},
  };
  try {
    return { ...fresh, ...(JSON.parse(sessionStorage.getItem(`inspect ${id}`) ?? "{}") as Partial<Form>) };
  } catch {
    return fresh;
  }
}

/** An inspection of one plate: grade, items with what the plate answers, findings. */
export function InspectPage({ id }: { id: string }) {
  const w = words();
  const [form, setForm] = useState(() => begin(id));
  const [draft, setDraft] = useState<register.Draft>();
  const [error, setError] = useState<unknown>();
  const [busy, setBusy] = useState(false);
  const latest = useLatest();
  const set = (change: Partial<Form>): void => {
    const next = { ...form, ...change };
    setForm(next);
    sessionStorage.setItem(`inspect ${id}`, JSON.stringify(next));
  };
  useEffect(() => {
    latest(register.draft(id, form.grade)).then(setDraft, setError);
  }, [id, form.grade]);
  const findings = form.findings ?? draft?.findings ?? [];
  const finding = (index: number, change: Partial<register.Finding>): void =>
    set({ findings: findings.map((one, i) => (i === index ? { ...one, ...change } : one)) });
  const answer = (item: string, change: { result?: register.Result; note?: string }): void =>
    set({ answers: { ...form.answers, [item]: { ...form.answers[item], ...change } } });
  const record = async (): Promise<void> => {
    if (!draft) return;
    setBusy(true);
    setError(undefined);
    try {
      await register.inspect(id, {
        grade: form.grade,
        kind: form.kind,
        date: form.date,
        inspector: form.inspector.trim(),
        competence: form.competence.trim(),
        months: Number(form.months),
        items: draft.items.flatMap(({ item, result }) => {
          const given = form.answers[item];
          if (!given?.result && !given?.note?.trim()) return [];
          return [{ item, result: given.result ?? result, ...(given.note?.trim() ? { note: given.note.trim() } : {}) }];
        }),
        findings: findings.filter((one) => one.text.trim()),
      });
      sessionStorage.removeItem(`inspect ${id}`);
      people.name(form.inspector.trim());
      localStorage.setItem(COMPETENCE, form.competence.trim());
      go(`register/${id}`);
    } catch (caught) {
      setError(caught);
    }
    setBusy(false);
  };
  const pick = <T extends string>(label: string, value: T, values: readonly T[], names: Record<T, string>, take: (value: T) => void) => (
    <label>
      {label}
      <select value={value} onChange={(event) => take(event.currentTarget.value as T)}>
        {values.map((one) => (
          <option key={one} value={one}>
            {names[one]}
          </option>
        ))}
      </select>
    </label>
  );
  const text = (key: "date" | "inspector" | "competence" | "months", label: string, more: Record<string, unknown> = {}) => (
    <label>
      {label}
      <input value={form[key]} required {...more} onInput={(event) => set({ [key]: event.currentTarget.value })} />
    </label>
  );
  return (
    <>
      <h1>{w.inspect.heading}</h1>
      <p>
        <a href={`${address("register")}/${id}`}>{w.review.all}</a>
      </p>
      <form
        onSubmit={(event) => {
          event.preventDefault();
          void record();
        }}
      >
        <div class="figures wide">
          {pick(w.inspect.grade, form.grade, register.GRADES, w.inspect.grades, (grade) => set({ grade }))}
          {pick(w.inspect.kind, form.kind, register.KINDS, w.inspect.kinds, (kind) => set({ kind }))}
          {text("date", w.inspect.date, { type: "date" })}
          {text("inspector", w.inspect.inspector, { autocomplete: "name" })}
          {text("competence", w.inspect.competence)}
          {text("months", w.inspect.months, { type: "number", min: 1, max: 36 })}
        </div>
        {!draft && error === undefined && <progress aria-label={w.common.loading} />}
        {draft &&
          SECTIONS.map((section) => {
            const items = draft.items.filter((one) => one.section === section);
            if (items.length === 0) return null;
            return (
              <section key={section}>
                <h2>{w.inspect.section[section]}</h2>
                {items.map((one) => (
                  <Item key={one.item} item={one} given={form.answers[one.item] ?? {}} onAnswer={(change) => answer(one.item, change)} />
                ))}
              </section>
            );
          })}
        <section>
          <h2>{w.inspect.findings}</h2>
          {findings.map((one, index) => (
            <fieldset key={index}>
              <legend>{w.inspect.finding({ number: index + 1 })}</legend>
              <label>
                {w.inspect.what}
                <textarea rows={2} value={one.text} onInput={(event) => finding(index, { text: event.currentTarget.value })} />
              </label>
              <div class="figures wide">
                <label>
                  {w.inspect.priority}
                  <select value={one.priority} onChange={(event) => finding(index, { priority: Number(event.currentTarget.value) })}>
                    {PRIORITIES.map((priority) => (
                      <option key={priority} value={priority}>
                        {priority}: {w.inspect.priorities[`p${priority}`]}
                      </option>
                    ))}
                  </select>
                </label>
                <label>
                  {w.inspect.due}
                  <input type="date" value={one.due ?? ""} onInput={(event) => finding(index, { due: event.currentTarget.value })} />
                </label>
              </div>
              <button type="button" onClick={() => set({ findings: findings.filter((_, i) => i !== index) })}>
                {w.common.remove}
              </button>
            </fieldset>
          ))}
          <button type="button" onClick={() => set({ findings: [...findings, { text: "", priority: 2 }] })}>
            {w.inspect.add}
          </button>
        </section>
        {error !== undefined && <ProblemNote error={error} />}
        <p>{w.inspect.caution}</p>
        <NeedsRole right="inspect" />
        <div class="row">
          <button class="main" disabled={busy || !draft || !people.may("inspect")}>
            {w.inspect.record}
          </button>
        </div>
      </form>
    </>
  );
}

function Item({
  item,
  given,
  onAnswer,
}: {
  item: register.DraftItem;
  given: { result?: register.Result; note?: string };
  onAnswer: (change: { result?: register.Result; note?: string }) => void;
}) {
  const w = words();
  const result = given.result ?? item.result;
  return (
    <fieldset class="item">
      <legend>{item.text}</legend>
      {item.note && <p>{item.note}</p>}
      {item.ground && (
        <p>
          <b>{w.inspect.plate_says}:</b> {item.ground}
        </p>
      )}
      <p class="source">{item.source}</p>
      <div class="answers">
        {register.RESULTS.map((one) => (
          <label key={one} class="tick">
            <input type="radio" name={item.item} checked={result === one} onChange={() => onAnswer({ result: one })} />
            {w.inspect.results[one]}
          </label>
        ))}
      </div>
      {(result === "fail" || result === "not_applicable" || given.note) && (
        <label>
          {w.inspect.note}
          <input
            value={given.note ?? ""}
            required={result === "fail" && !item.ground}
            onInput={(event) => onAnswer({ note: event.currentTarget.value })}
          />
        </label>
      )}
    </fieldset>
  );
}
