import { FindingItem } from "./FindingItem.tsx";
import type { Panel } from "./panel.ts";
import { useStore } from "./store.ts";

/** So many findings are listed at once. */
const mostListed = 60;

/** All that was found in the score, what could not be read, what was assumed, and where it asks for much. */
export function FindingsPane({ panel }: { readonly panel: Panel }) {
  const shown = useStore(panel.store, (state) => state.shown);
  if (!shown) return null;
  const { findings, problems, assumptions, cautions } = shown.score;
  const listed = findings.slice(0, mostListed);
  return (
    <>
      <details class="pane" open={findings.length > 0}>
        <summary>
          {findings.length === 0 ? "Nothing found to look at" : `${findings.length} to look at`}
        </summary>
        {findings.length > 1 ? (
          <p class="row">
            <button type="button" onClick={() => panel.stepFinding(-1)}>
              Previous
            </button>
            <button type="button" onClick={() => panel.stepFinding(1)}>
              Next
            </button>
          </p>
        ) : null}
        <ul class="findings">
          {listed.map((finding) => (
            <FindingItem key={finding.index} panel={panel} finding={finding} goesThere />
          ))}
        </ul>
        {findings.length > listed.length ? (
          <p class="aside">And {findings.length - listed.length} more; Next goes through all of them.</p>
        ) : null}
      </details>
      <details class="pane" open={cautions.length > 1}>
        <summary>For your hands</summary>
        <ul class="cautions">
          {cautions.map((caution) => (
            <li key={caution}>{caution}</li>
          ))}
        </ul>
      </details>
      {problems.length + assumptions.length > 0 ? (
        <details class="pane">
          <summary>How it was read</summary>
          <ul>
            {problems.map(({ message, line }, i) => (
              <li key={i}>
                Line {line}: {message}
              </li>
            ))}
            {assumptions.map((assumption) => (
              <li key={assumption}>{assumption}</li>
            ))}
          </ul>
        </details>
      ) : null}
    </>
  );
}
