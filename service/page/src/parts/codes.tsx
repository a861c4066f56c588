import type { Code } from "../types";
import { words } from "../words/more";

/** What matrix codes say: text, never a link that a touch would follow. */
export function Codes({ codes }: { codes: Code[] | undefined }) {
  const w = words();
  if (!codes || codes.length === 0) return null;
  return (
    <section>
      <h2>{w.marking.codes}</h2>
      <p>{w.marking.codes_note}</p>
      <dl class="facts">
        {codes.map((code, index) => (
          <div key={index}>
            <dt>{(w.marking.code as Partial<Record<string, string>>)[code.kind] ?? code.kind}</dt>
            <dd class="read">{code.text}</dd>
          </div>
        ))}
      </dl>
    </section>
  );
}
