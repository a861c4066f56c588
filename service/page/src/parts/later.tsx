import type { ComponentChildren } from "preact";
import { useEffect, useState } from "preact/hooks";
import { words } from "../words";

type Views = typeof import("../views");

let views: Views | undefined;

/** Fetches every view but the first; one that is at hand is shown without a pause. */
export async function fetchViews(): Promise<void> {
  views ??= await import("../views");
}

/** Shows something of what is fetched later, at once where it is there. */
export function Later({ show }: { show: (views: Views) => ComponentChildren }) {
  const w = words();
  const [there, setThere] = useState(views !== undefined);
  const [missing, setMissing] = useState(false);
  useEffect(() => {
    if (!there) fetchViews().then(() => setThere(true), () => setMissing(true));
  }, []);
  if (views && there) return <>{show(views)}</>;
  if (!missing) return <progress aria-label={w.common.loading} />;
  // A browser does not fetch a second time what it could not fetch; nothing typed is lost by opening the page anew.
  return (
    <div class="problem" role="alert">
      <p>{w.problem.network}</p>
      <button type="button" onClick={() => location.reload()}>
        {w.common.again}
      </button>
    </div>
  );
}
