import { useState } from "preact/hooks";
import type { Field, Line, Marking, Reading, Span } from "../types";
import { number, share, words } from "../words/more";
import { Crop } from "./crop";

/** Below this a field is shown as doubtful. */
const DOUBTFUL = 0.98;
/** Other values less probable than this only hide the rest. */
const WORTH_SAYING = 0.01;

interface Placed {
  text: string;
  meaning: string;
  span?: Span;
  field?: [string, Field];
}

/** Finds where each piece stands: pieces follow one another in the lines of the marking. */
function placed(marking: Marking, lines: Line[]): Placed[] {
  const fields = Object.entries(marking.fields ?? {});
  const at = new Map<number, number>();
  const candidates = [...new Set([...(marking.spans ?? []), ...fields.flatMap(([, f]) => f.spans ?? [])].map((s) => s.line))];
  return (marking.pieces ?? []).map((piece) => {
    for (const line of candidates) {
      const characters = [...(lines[line]?.text ?? "")];
      const wanted = [...piece.text].filter((c) => !" []".includes(c)).join("");
      const text = characters.join("");
      const found = wanted ? text.indexOf(wanted, at.get(line) ?? 0) : -1;
      if (found < 0) continue;
      const start = [...text.slice(0, found)].length;
      const span: Span = { line, start, end: start + [...wanted].length, text: wanted };
      at.set(line, found + wanted.length);
      const field = fields.find(([, f]) =>
        (f.spans ?? []).some((s) => s.line === line && s.start < span.end && s.end > span.start),
      );
      return { ...piece, span, ...(field ? { field } : {}) };
    }
    return piece;
  });
}

function Detail({ piece, lines, bitmap }: { piece: Placed; lines: Line[]; bitmap: ImageBitmap | undefined }) {
  const w = words();
  const line = piece.span && lines[piece.span.line];
  const [name, field] = piece.field ?? [];
  const also = (field?.also ?? []).filter((one) => one.probability >= WORTH_SAYING);
  return (
    <div class="piece-detail" aria-live="polite">
      <p>
        <b>{piece.text}</b>: {piece.meaning}
      </p>
      {bitmap && line && piece.span && <Crop photo={bitmap} line={line} span={piece.span} label={piece.text} />}
      {field && name && (
        <p>
          {(w.marking.field as Partial<Record<string, string>>)[name] ?? name}: {w.marking.sure} {share(field.confidence)}
          {also.length > 0 &&
            `; ${w.marking.also} ${also.map((one) => `${one.value} (${share(one.probability)})`).join(", ")}`}
        </p>
      )}
    </div>
  );
}

function OneMarking({
  marking,
  lines,
  bitmap,
  title,
}: {
  marking: Marking;
  lines: Line[];
  bitmap: ImageBitmap | undefined;
  title: string | undefined;
}) {
  const w = words();
  const [open, setOpen] = useState<number>();
  const pieces = placed(marking, lines);
  return (
    <article class="marking">
      {title && <h3>{title}</h3>}
      <p class="printed">{marking.text}</p>
      {marking.read_as && (
        <p>
          {w.marking.read_as}: <span class="read">{marking.read_as}</span>
        </p>
      )}
      {marking.canonical && marking.canonical !== marking.text && (
        <p>
          {w.marking.today}: <span class="read">{marking.canonical}</span>
        </p>
      )}
      {marking.repairs?.map((repair, index) => (
        <p key={index}>
          {w.marking.repaired}: “{repair.from}” → “{repair.to}” ({repair.repair})
        </p>
      ))}
      <div class="pieces" role="group" aria-label={w.marking.tap}>
        {pieces.map((piece, index) => {
          const doubtful = piece.field !== undefined && piece.field[1].confidence < DOUBTFUL;
          return (
            <button
              type="button"
              key={index}
              class={`piece ${doubtful ? "doubtful" : ""}`}
              aria-expanded={open === index}
              onClick={() => setOpen(open === index ? undefined : index)}
            >
              {piece.text}
              {doubtful && <span class="mark">?</span>}
              {doubtful && <span class="unseen"> {w.marking.doubtful}</span>}
            </button>
          );
        })}
      </div>
      {open !== undefined && pieces[open] ? (
        <Detail piece={pieces[open]} lines={lines} bitmap={bitmap} />
      ) : (
        <ul class="meanings">
          {pieces.map((piece, index) => (
            <li key={index}>
              <b>{piece.text}</b> {piece.meaning}
            </li>
          ))}
        </ul>
      )}
      {marking.zones.length > 0 && (
        <p>
          {w.marking.serves} {marking.zones.join(", ")}
        </p>
      )}
    </article>
  );
}

/** Each marking, taken apart. */
export function Markings({ reading, bitmap }: { reading: Reading; bitmap?: ImageBitmap | undefined }) {
  const w = words();
  const { markings } = reading;
  return (
    <section>
      <h2>{w.marking.heading}</h2>
      {markings.length === 0 && (
        <>
          <p>
            <b>{w.photo.unmarked}</b>
          </p>
          <p>{w.marking.none_help}</p>
        </>
      )}
      {markings.map((marking, index) => (
        <OneMarking
          key={index}
          marking={marking}
          lines={reading.lines}
          bitmap={bitmap}
          title={markings.length > 1 ? w.marking.of({ number: index + 1, all: markings.length }) : undefined}
        />
      ))}
    </section>
  );
}

/** Everything else that the plate says. */
export function PlateFacts({ reading }: { reading: Reading }) {
  const w = words();
  const ambient = reading.ambient_c?.map((c) => number(c)).join(" … ");
  const rows: [string, string][] = [
    ...(reading.certificates ?? []).map((c): [string, string] => [
      `${w.facts.certificate} (${c.scheme})`,
      `${c.number} ${c.suffix}`.trim(),
    ]),
    [w.facts.notified_body, reading.notified_body ?? ""],
    [w.facts.ambient, ambient ? `${ambient} °C${reading.ambient_marked ? "" : ` (${w.facts.not_printed})`}` : ""],
    [w.facts.ip, reading.ip ?? ""],
    [w.facts.maker, reading.maker ?? ""],
    [w.facts.type, reading.type ?? ""],
    [w.facts.serial, reading.serial ?? ""],
    [w.facts.year, reading.year ? String(reading.year) : ""],
    [w.facts.ratings, (reading.ratings ?? []).join("; ")],
    [
      w.facts.entity,
      Object.entries(reading.is_parameters ?? {})
        .filter(([, value]) => typeof value === "number")
        .map(([key, value]) => entity(key, value))
        .join("; "),
    ],
    [w.facts.warnings, (reading.warnings ?? []).join(" · ")],
    [w.marking.not_read, (reading.unread ?? []).map((span) => `“${span.text}”`).join(" ")],
  ];
  const filled = rows.filter(([, value]) => value);
  if (filled.length === 0) return null;
  return (
    <section>
      <h2>{w.marking.rest}</h2>
      <dl class="facts">
        {filled.map(([name, value], index) => (
          <div key={index}>
            <dt>{name}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
    </section>
  );
}

const UNITS: Record<string, string> = { v: "V", ma: "mA", w: "W", nf: "nF", uh: "µH" };

/** `ui_v` and 30 as `Ui 30 V`. */
function entity(key: string, value: number): string {
  if (key === "lo_ro_uh_per_ohm") return `Lo/Ro ${number(value)} µH/Ω`;
  const [name = "", unit = ""] = key.split("_");
  return `${name.charAt(0).toUpperCase()}${name.slice(1)} ${number(value)} ${UNITS[unit] ?? unit}`;
}
