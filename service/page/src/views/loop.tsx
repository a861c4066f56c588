import { useState } from "preact/hooks";
import { checkLoop, type LoopAnswer, type LoopLine } from "../api";
import { FromPlate, type Values } from "../parts/from-plate";
import { ProblemNote } from "../parts/problem";
import { useLatest } from "../state/latest";
import { number, words } from "../words/more";

interface Draft {
  source: Values;
  devices: Values[];
  cable: Values;
  ordinary: boolean;
  matched: boolean;
}

const SOURCE: [string, string][] = [
  ["uo_v", "Uo, V"],
  ["io_ma", "Io, mA"],
  ["po_mw", "Po, mW"],
  ["co_nf", "Co, nF"],
  ["lo_uh", "Lo, µH"],
  ["lo_ro_uh_per_ohm", "Lo/Ro, µH/Ω"],
];
const DEVICE: [string, string][] = [
  ["ui_v", "Ui, V"],
  ["ii_ma", "Ii, mA"],
  ["pi_mw", "Pi, mW"],
  ["ci_nf", "Ci, nF"],
  ["li_uh", "Li, µH"],
];
const GROUPS = ["I", "IIA", "IIB", "IIC", "III"];
const LEVELS = ["ia", "ib", "ic"];
const KEPT = "loop-draft";
const EMPTY: Draft = { source: { gas_group: "IIC" }, devices: [{}], cable: {}, ordinary: false, matched: false };

function draftKept(): Draft {
  try {
    return { ...EMPTY, ...(JSON.parse(sessionStorage.getItem(KEPT) ?? "{}") as Partial<Draft>) };
  } catch {
    return EMPTY;
  }
}

/** Numbers with point or comma; what is no number goes as text and is refused by name. */
function figures(values: Values): Record<string, unknown> {
  return Object.fromEntries(
    Object.entries(values)
      .filter(([, value]) => value.trim())
      .map(([key, value]) => {
        const plain = value.trim().replace(",", ".");
        return [key, Number.isNaN(Number(plain)) ? value.trim() : Number(plain)];
      }),
  );
}

/** One source, its field devices and their cable. */
export function LoopPage() {
  const w = words();
  const [draft, setDraft] = useState(draftKept);
  const [answer, setAnswer] = useState<LoopAnswer>();
  const [error, setError] = useState<unknown>();
  const latest = useLatest();
  // Of what stands there now: values of a plate may come while others are typed.
  const change = (how: (now: Draft) => Partial<Draft>): void => {
    setDraft((now) => {
      const next = { ...now, ...how(now) };
      sessionStorage.setItem(KEPT, JSON.stringify(next));
      return next;
    });
    setAnswer(undefined);
    // What is on its way was asked of other values.
    void latest(Promise.resolve());
  };
  const check = async (): Promise<void> => {
    setError(undefined);
    try {
      setAnswer(
        await latest(checkLoop({
          source: { ...figures(draft.source), ...(draft.matched ? { matched_pair: true } : {}) },
          devices: draft.devices.map(figures),
          cable: { ...figures(draft.cable), ...(draft.ordinary ? { ordinary: true } : {}) },
        })),
      );
    } catch (caught) {
      setError(caught);
    }
  };
  const source = (values: Values): void => change((now) => ({ source: { ...now.source, ...values } }));
  const device = (index: number, values: Values): void =>
    change((now) => ({ devices: now.devices.map((old, i) => (i === index ? { ...old, ...values } : old)) }));
  return (
    <>
      <h1>{w.loop.heading}</h1>
      <p>{w.loop.intro}</p>
      <form
        onSubmit={(event) => {
          event.preventDefault();
          void check();
        }}
      >
        <fieldset>
          <legend>{w.loop.source}</legend>
          <Pick label={w.loop.group} values={GROUPS} value={draft.source.gas_group} onPick={(v) => source({ gas_group: v })} />
          <Figures keys={SOURCE} values={draft.source} onChange={source} />
          <label class="tick">
            <input type="checkbox" checked={draft.matched} onChange={({ currentTarget: { checked } }) => change(() => ({ matched: checked }))} />
            {w.loop.matched}
          </label>
          <FromPlate keys={SOURCE} onFill={source} />
        </fieldset>
        {draft.devices.map((values, index) => (
          <fieldset key={index}>
            <legend>{w.loop.device({ number: index + 1 })}</legend>
            <Figures keys={DEVICE} values={values} onChange={(next) => device(index, next)} />
            <FromPlate keys={DEVICE} onFill={(next) => device(index, next)} />
            {draft.devices.length > 1 && (
              <button type="button" onClick={() => change((now) => ({ devices: now.devices.filter((_, i) => i !== index) }))}>
                {w.loop.drop}
              </button>
            )}
          </fieldset>
        ))}
        <button type="button" onClick={() => change((now) => ({ devices: [...now.devices, {}] }))}>
          {w.loop.add}
        </button>
        <fieldset>
          <legend>{w.loop.cable}</legend>
          <Figures
            keys={[
              ["length_m", w.loop.length_m],
              ["c_pf_per_m", w.loop.c_pf_per_m],
              ["l_uh_per_m", w.loop.l_uh_per_m],
            ]}
            values={draft.cable}
            onChange={(cable) => change((now) => ({ cable: { ...now.cable, ...cable } }))}
          />
          <label class="tick">
            <input type="checkbox" checked={draft.ordinary} onChange={({ currentTarget: { checked } }) => change(() => ({ ordinary: checked }))} />
            {w.loop.ordinary}
          </label>
        </fieldset>
        <button class="main">{w.loop.check}</button>
      </form>
      {error !== undefined && <ProblemNote error={error} />}
      {answer && <Checked answer={answer} draft={draft} />}
    </>
  );
}

function Pick({ label, values, value, onPick }: { label: string; values: string[]; value: string | undefined; onPick: (value: string) => void }) {
  return (
    <label>
      {label}
      <select value={value ?? ""} onChange={(event) => onPick(event.currentTarget.value)}>
        <option value=""></option>
        {values.map((one) => (
          <option key={one}>{one}</option>
        ))}
      </select>
    </label>
  );
}

function Figures({ keys, values, onChange }: { keys: [string, string][]; values: Values; onChange: (values: Values) => void }) {
  const w = words();
  const level = keys === SOURCE || keys === DEVICE;
  return (
    <>
      {level && <Pick label={w.loop.level} values={LEVELS} value={values.level} onPick={(v) => onChange({ ...values, level: v })} />}
      <div class="figures">
        {keys.map(([key, label]) => (
          <label key={key}>
            {label}
            <input value={values[key] ?? ""} inputMode="decimal" autocomplete="off" onInput={(event) => onChange({ ...values, [key]: event.currentTarget.value })} />
          </label>
        ))}
      </div>
    </>
  );
}

function Checked({ answer, draft }: { answer: LoopAnswer; draft: Draft }) {
  const w = words();
  const source = figures(draft.source);
  const devices = draft.devices.map(figures);
  // The device that takes least is the one that limits.
  const least = (key: string): number | undefined => {
    const all = devices.map((one) => one[key]).filter((v): v is number => typeof v === "number");
    return all.length === devices.length ? Math.min(...all) : undefined;
  };
  const given = (key: string): number | undefined => (typeof source[key] === "number" ? source[key] : undefined);
  return (
    <section aria-live="polite">
      <p class={`band ${answer.overall === "pass" ? "suitable" : answer.overall === "fail" ? "unsuitable" : "undecided"}`}>
        <LoopWord line={answer.overall} large />
      </p>
      <h2>{w.loop.limits}</h2>
      <Bar name="Uo ≤ Ui" unit="V" line={answer.voltage} value={given("uo_v")} limit={least("ui_v")} />
      <Bar name="Io ≤ Ii" unit="mA" line={answer.current} value={given("io_ma")} limit={least("ii_ma")} />
      <Bar name="Po ≤ Pi" unit="mW" line={answer.power} value={given("po_mw")} limit={least("pi_mw")} />
      <Bar name="ΣCi + Cc ≤ Co" unit="nF" line={answer.capacitance} value={answer.capacitance_total_nf} limit={answer.capacitance_limit_nf} />
      <Bar name="ΣLi + Lc ≤ Lo" unit="µH" line={answer.inductance} value={answer.inductance_total_uh} limit={answer.inductance_limit_uh} />
      <h2>{w.loop.longest}</h2>
      <ul>
        {answer.longest_by_capacitance_m !== undefined && <li>Co: {number(answer.longest_by_capacitance_m, 0)} m</li>}
        {answer.longest_by_inductance_m !== undefined && <li>Lo: {number(answer.longest_by_inductance_m, 0)} m</li>}
      </ul>
      <ul>
        {answer.notes.map((note, index) => (
          <li key={index}>{note}</li>
        ))}
      </ul>
      <p class="source">{answer.source}</p>
    </section>
  );
}

function LoopWord({ line, large = false }: { line: LoopLine; large?: boolean }) {
  const as = line === "pass" ? "suitable" : line === "fail" ? "unsuitable" : "undecided";
  return <strong class={`outcome ${as} ${large ? "large" : ""}`}>{words().loop.line[line]}</strong>;
}

/** How much of a limit is used; past the limit the bar runs over its mark. */
function Bar({ name, unit, line, value, limit }: { name: string; unit: string; line: LoopLine; value: number | undefined; limit: number | undefined }) {
  const w = words();
  const used = value !== undefined && limit ? value / limit : undefined;
  return (
    <div class="bar">
      <p>
        <b>{name}</b> <LoopWord line={line} />{" "}
        {value !== undefined && limit !== undefined && (
          <span>
            {number(value)} / {number(limit)} {unit}
            {used !== undefined && ` (${number(used * 100, 0)} % ${w.loop.of_limit})`}
          </span>
        )}
      </p>
      {used !== undefined && (
        <svg viewBox="0 0 150 10" preserveAspectRatio="none" aria-hidden="true" class={line}>
          <rect class="room" width="150" height="10" />
          <rect class="used" width={Math.min(150, used * 100)} height="10" />
          <rect class="limit" x="99" width="2" height="10" />
        </svg>
      )}
    </div>
  );
}
