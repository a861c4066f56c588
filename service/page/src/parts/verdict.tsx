import { inShort } from "../state/places";
import type { Quad, Reading, Span } from "../types";
import { share, words } from "../words/more";
import { OutcomeWord } from "./outcome";

/** The first thing to be seen: the outcome, where, and the worst ground. */
export function VerdictBand({ reading, placeName }: { reading: Reading; placeName?: string | undefined }) {
  const w = words();
  const { verdict } = reading;
  const outcome = verdict?.outcome ?? "none";
  const worst = verdict?.grounds.find((ground) => ground.outcome !== "suitable");
  return (
    <section class={`band ${outcome}`} aria-label={w.outcome.word[outcome]}>
      <p class="band-word">
        <OutcomeWord outcome={outcome} />
      </p>
      {verdict && (
        <p class="band-place">
          {placeName ? `${placeName}: ` : ""}
          {inShort(verdict.place, w.place.zone.toLowerCase())}
        </p>
      )}
      <p>{worst ? worst.detail : w.outcome.says[outcome]}</p>
      {verdict && verdict.probability < 0.99 && <p>{w.verdict.sure({ share: share(verdict.probability) })}</p>}
      {reading.review.needed && <p class="band-review">{w.verdict.review}</p>}
    </section>
  );
}

/** Every ground with its clause, worst first. */
export function Grounds({ reading, onShow }: { reading: Reading; onShow?: (span: Span) => void }) {
  const w = words();
  const { verdict } = reading;
  if (!verdict) return null;
  return (
    <section>
      <h2>{w.verdict.grounds}</h2>
      <ul class="grounds">
        {verdict.grounds.map((ground, index) => (
          <li key={index}>
            <OutcomeWord outcome={ground.outcome} />
            <div>
              <p>{ground.detail}</p>
              {ground.next && (
                <p>
                  <b>{w.verdict.to_do}:</b> {ground.next}
                </p>
              )}
              <p class="source">{ground.source}</p>
              {onShow && ground.spans?.[0] && (
                <button type="button" class="quiet" onClick={() => onShow(ground.spans![0]!)}>
                  {w.verdict.where}
                  <span class="unseen">: {ground.spans[0].text}</span>
                </button>
              )}
            </div>
          </li>
        ))}
      </ul>
      {verdict.notes && verdict.notes.length > 0 && (
        <details>
          <summary>{w.verdict.notes}</summary>
          <ul>
            {verdict.notes.map((note, index) => (
              <li key={index}>{note}</li>
            ))}
          </ul>
        </details>
      )}
    </section>
  );
}

/** What only a person at the plate or with the certificate can settle. */
export function ByHand({ reading, onShow }: { reading: Reading; onShow?: (quad: Quad) => void }) {
  const w = words();
  const { reasons, looks = [] } = reading.review;
  const suspicions = (reading.suspicions ?? []).map((s) => `${w.marking.contradicts}: ${s.detail} (${s.source})`);
  if (reasons.length + suspicions.length === 0) return null;
  return (
    <section>
      <h2>{w.verdict.by_hand}</h2>
      <ul>
        {reasons.map((reason, index) => {
          const quad = looks.find((look) => look.reason === index)?.quad;
          return (
            <li key={index}>
              {reason}{" "}
              {onShow && quad && (
                <button type="button" class="quiet" onClick={() => onShow(quad)}>
                  {w.verdict.where}
                  <span class="unseen">: {reason}</span>
                </button>
              )}
            </li>
          );
        })}
        {suspicions.map((one, index) => (
          <li key={`s${index}`}>{one}</li>
        ))}
      </ul>
    </section>
  );
}

/** What always has to be kept in mind. */
export function Cautions({ cautions }: { cautions: string[] }) {
  return (
    <section class="cautions">
      <h2>{words().verdict.cautions}</h2>
      <ul>
        {cautions.map((caution, index) => (
          <li key={index}>{caution}</li>
        ))}
      </ul>
    </section>
  );
}
