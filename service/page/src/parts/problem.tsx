import { Failed } from "../api";
import { words } from "../words";

/** What went wrong, in the service's own words, and the way out. */
export function ProblemNote({ error, onRetry }: { error: unknown; onRetry?: () => void }) {
  const w = words();
  const problem = error instanceof Failed ? error.problem : undefined;
  return (
    <div class="problem" role="alert">
      <p>
        <b>{w.problem.heading}</b>
      </p>
      <p>
        {problem === "network"
          ? w.problem.network
          : problem
            ? (problem.detail ?? problem.title)
            : error instanceof Error
              ? error.message
              : String(error)}
      </p>
      {onRetry && (
        <button type="button" onClick={onRetry}>
          {w.common.again}
        </button>
      )}
    </div>
  );
}
