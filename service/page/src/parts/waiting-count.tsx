import { useEffect, useState } from "preact/hooks";
import * as outbox from "../state/outbox";
import { words } from "../words";

/** How many photos have not been sent, and whether there is a network: always in sight. */
export function WaitingCount() {
  const w = words();
  const [count, setCount] = useState(0);
  const [online, setOnline] = useState(navigator.onLine);
  useEffect(() => {
    const look = (): void => {
      setOnline(navigator.onLine);
      Promise.all([outbox.waiting(), outbox.keeping()]).then(
        (lists) => setCount(lists.flat().length),
        () => undefined,
      );
    };
    look();
    window.addEventListener("online", look);
    window.addEventListener("offline", look);
    const unwatch = outbox.watch(look);
    return () => {
      window.removeEventListener("online", look);
      window.removeEventListener("offline", look);
      unwatch();
    };
  }, []);
  return (
    <span class="waiting-count" role="status">
      {online ? "" : `${w.common.offline}. `}
      {count > 0 ? w.common.waiting({ n: count }) : ""}
    </span>
  );
}
