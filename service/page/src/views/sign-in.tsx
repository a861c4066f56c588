import { useState } from "preact/hooks";
import { Failed } from "../api";
import { ProblemNote } from "../parts/problem";
import { signIn, type Session } from "../session";
import { words } from "../words";

/** Who works here, where the service has accounts. */
export function SignInPage({ onIn, ended }: { onIn: (session: Session) => void; ended: boolean }) {
  const w = words();
  const [busy, setBusy] = useState(false);
  const [error, setError] = useState<unknown>();
  const enter = async (form: FormData): Promise<void> => {
    setBusy(true);
    setError(undefined);
    try {
      onIn(await signIn(String(form.get("name")).trim(), String(form.get("password"))));
    } catch (caught) {
      setError(caught);
    }
    setBusy(false);
  };
  return (
    <>
      <h1>{w.session.heading}</h1>
      {ended && (
        <p role="alert">
          <b>{w.session.ended}</b>
        </p>
      )}
      <p>{w.session.hint}</p>
      <form
        onSubmit={(event) => {
          event.preventDefault();
          void enter(new FormData(event.currentTarget));
        }}
      >
        <label>
          {w.session.name}
          <input name="name" required autocomplete="username" autocapitalize="off" />
        </label>
        <label>
          {w.session.password}
          <input name="password" type="password" required autocomplete="current-password" />
        </label>
        {error !== undefined && <Refusal error={error} />}
        <button class="main" disabled={busy}>
          {w.session.enter}
        </button>
      </form>
    </>
  );
}

/** The two refusals that a person can do something about are said in the person's language. */
function Refusal({ error }: { error: unknown }) {
  const w = words();
  const status = error instanceof Failed && error.problem !== "network" ? error.problem.status : 0;
  if (status === 401) return <p role="alert">{w.session.wrong}</p>;
  if (error instanceof Failed && status === 429) return <p role="alert">{w.session.slowed({ n: error.retryAfter ?? 30 })}</p>;
  return <ProblemNote error={error} />;
}
