import { useState } from "preact/hooks";
import { ProblemNote } from "../parts/problem";
import { signIn, type Session } from "../session";
import { words } from "../words";

/** Who works here, where the service has accounts. */
export function SignInPage({ onIn }: { onIn: (session: Session) => void }) {
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
        {error !== undefined && <ProblemNote error={error} />}
        <button class="main" disabled={busy}>
          {w.session.enter}
        </button>
      </form>
    </>
  );
}
