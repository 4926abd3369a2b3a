import type { PanelCell, PanelOccurrence, PanelPassage } from "../../../shared/protocol/panel.ts";
import type { Panel } from "./panel.ts";
import { useStore } from "./store.ts";

const kindWords = {
  exact: "the same strings in the same rhythm",
  shifted: "the same shape, partly on other strings",
  near: "nearly the same",
  otherHand: "the same shape in both hands",
} as const;

/** The fingers of all places of a passage, side by side, event under event. */
export function PassageTable({
  panel,
  passage,
  number,
}: {
  readonly panel: Panel;
  readonly passage: PanelPassage;
  readonly number: number;
}) {
  const changing = useStore(panel.store, (state) => state.changing);
  const { occurrences } = passage;
  const first = occurrences[0]!;
  const alike = (model: number, target: number | "all"): void =>
    void panel.change({ kind: "alike", passage: number, model, target });
  return (
    <section class="passage" aria-label={`Passage ${passage.name}`}>
      <h2>
        Passage {passage.name}: {kindWords[passage.kind]}, {occurrences.length} times
      </h2>
      {passage.likeness === "alike" ? (
        <p>It is fingered alike wherever it stands.</p>
      ) : (
        <p>
          <button type="button" class="main-action" disabled={changing} onClick={() => alike(0, "all")}>
            Finger all like {first.bars}
          </button>
        </p>
      )}
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be within reach of the keyboard. */}
      <section class="table-box" tabIndex={0} aria-label="Fingers side by side">
        <table>
          <thead>
            <tr>
              <th scope="col">Where</th>
              {first.cells.map((_, m) => (
                <th key={m} scope="col" aria-label={`Event ${m + 1}`}>
                  {m + 1}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {occurrences.map((occurrence, k) => (
              <Row
                key={k}
                panel={panel}
                occurrence={occurrence}
                isFirst={k === 0}
                passageAlike={passage.likeness === "alike"}
                firstBars={first.bars}
                changing={changing}
                onLikeFirst={() => alike(0, k)}
                onAllLikeThis={() => alike(k, "all")}
              />
            ))}
          </tbody>
        </table>
      </section>
    </section>
  );
}

function Row({
  panel,
  occurrence,
  isFirst,
  passageAlike,
  firstBars,
  changing,
  onLikeFirst,
  onAllLikeThis,
}: {
  readonly panel: Panel;
  readonly occurrence: PanelOccurrence;
  readonly isFirst: boolean;
  readonly passageAlike: boolean;
  readonly firstBars: string;
  readonly changing: boolean;
  readonly onLikeFirst: () => void;
  readonly onAllLikeThis: () => void;
}) {
  const { bars, hand, steps, likeness, cells } = occurrence;
  const alike = likeness === "alike";
  const moved =
    steps === 0
      ? ""
      : `, ${Math.abs(steps)} ${Math.abs(steps) === 1 ? "string" : "strings"} ${steps > 0 ? "higher" : "lower"}`;
  return (
    <tr class={likeness}>
      <th scope="row">
        <button
          type="button"
          class="link"
          onClick={() => panel.select(cells.find((cell) => cell !== undefined)?.notes.at(-1))}
        >
          {bars}
        </button>
        <span class="aside">
          {hand} hand{moved}
          {likeness === "unlike" ? " ≠" : ""}
        </span>
        <span class="row-actions">
          {isFirst || alike ? null : (
            <button type="button" disabled={changing} onClick={onLikeFirst} title={`As ${firstBars}`}>
              Like the first
            </button>
          )}
          {passageAlike || isFirst || alike ? null : (
            <button type="button" disabled={changing} onClick={onAllLikeThis}>
              All like this
            </button>
          )}
        </span>
      </th>
      {cells.map((cell, m) => (
        <Cell key={m} cell={cell} />
      ))}
    </tr>
  );
}

function Cell({ cell }: { readonly cell: PanelCell | undefined }) {
  if (!cell) return <td class="none">–</td>;
  const { fingers, printed, joined, differs } = cell;
  const classes = [
    printed ? "printed" : "proposed",
    joined ? "joined" : "",
    differs.fingers ? "differs" : "",
    differs.joined ? "differs-joined" : "",
  ];
  return (
    <td class={classes.filter((name) => name !== "").join(" ")}>
      {[...fingers].reverse().map((finger, j) => (
        <span key={j} class="digit">
          {finger ?? "–"}
        </span>
      ))}
      {differs.fingers || differs.joined ? (
        <span class="unlike-sign">
          <span aria-hidden="true">≠</span>
          <span class="only-read">{differs.fingers ? " other finger" : " placed otherwise"}</span>
        </span>
      ) : null}
    </td>
  );
}
