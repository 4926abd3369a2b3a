import type { PanelFinding } from "../../../shared/protocol/panel.ts";
import type { Panel } from "./panel.ts";
import { useStore } from "./store.ts";
import { markPath } from "./systemPicture.ts";

const severityWords = { error: "Error", warning: "Warning", info: "Hint" } as const;

/** A finding with its fixes, and the way to leave it as it is. @param goesThere its message leads to its note. */
export function FindingItem({
  panel,
  finding,
  goesThere = false,
}: {
  readonly panel: Panel;
  readonly finding: PanelFinding;
  readonly goesThere?: boolean;
}) {
  const changing = useStore(panel.store, (state) => state.changing);
  const { index, severity, message, bar, beat, hand, fixes, notes } = finding;
  const where = [bar && `bar ${bar}`, beat && `beat ${beat}`, hand && `${hand} hand`]
    .filter(Boolean)
    .join(", ");
  return (
    <li class={`finding ${severity}`}>
      <svg class="mark-sample" viewBox="0 0 16 16" width="16" height="16" aria-hidden="true">
        <path class={`mark ${severity}`} d={markPath(severity, 8, 8, 6.4)} />
      </svg>
      <div>
        <p>
          <span class="only-read">{severityWords[severity]}: </span>
          {goesThere && notes.length > 0 ? (
            <button type="button" class="link" onClick={() => panel.select(notes[0])}>
              {message}
            </button>
          ) : (
            message
          )}
        </p>
        {goesThere && where !== "" ? <p class="aside">{where}</p> : null}
        {fixes.map(({ title }, fix) => (
          <button
            key={title}
            type="button"
            disabled={changing}
            onClick={() => void panel.change({ kind: "fix", finding: index, fix })}
          >
            {title}
          </button>
        ))}
        <button
          type="button"
          disabled={changing}
          onClick={() => void panel.change({ kind: "accept", finding: index })}
        >
          Mark as intended
        </button>
      </div>
    </li>
  );
}
