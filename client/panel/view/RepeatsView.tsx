import type { PanelOccurrence, PanelPassage, PanelScore } from "../../../shared/protocol/panel.ts";
import { PassageTable } from "./PassageTable.tsx";
import type { Panel } from "./panel.ts";
import { useStore } from "./store.ts";

/** A bar is at least this wide on the map, in CSS pixels. */
const leastBarPx = 26;
const bandPx = 30;

const likenessWords = {
  alike: "fingered as the first time",
  unlike: "printed otherwise than the first time",
  open: "proposed otherwise than the first time",
} as const;

/** The whole score as one strip for each hand; what comes back lies in bands, the same passage in the same band. */
export function RepeatsView({ panel }: { readonly panel: Panel }) {
  const shown = useStore(panel.store, (state) => state.shown);
  const passage = useStore(panel.store, (state) => state.passage);
  if (!shown) return null;
  const { score } = shown;
  const { passages, messages } = score.repeats;
  const chosen = passage === undefined ? undefined : passages[passage];
  const count = (likeness: PanelPassage["likeness"]): number =>
    passages.filter((each) => each.likeness === likeness).length;
  return (
    <div class="repeats-view">
      <p class="summary">
        {passages.length === 0
          ? "Nothing comes back in this score."
          : `${passages.length === 1 ? "1 passage comes back" : `${passages.length} passages come back`}: ${count("unlike")} fingered otherwise in print, ${count("open")} still open, ${count("alike")} alike.`}
      </p>
      <ul class="map-key" aria-label="What the shapes on the map mean">
        <li>
          <span class="occurrence alike sample">A</span> fingered as the first time
        </li>
        <li>
          <span class="occurrence unlike sample">A ≠</span> printed otherwise
        </li>
        <li>
          <span class="occurrence open sample">A</span> proposed otherwise
        </li>
      </ul>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be within reach of the keyboard. */}
      <section class="map" tabIndex={0} aria-label="Map of what comes back">
        {(["right", "left"] as const).map((hand) => (
          <HandStrip key={hand} panel={panel} score={score} hand={hand} />
        ))}
      </section>
      {messages.map((message) => (
        <p key={message} class="aside">
          {message}
        </p>
      ))}
      {chosen ? (
        <PassageTable panel={panel} passage={chosen} number={passage!} />
      ) : passages.length > 0 ? (
        <p class="aside">Choose a passage to see its fingers side by side.</p>
      ) : null}
    </div>
  );
}

function HandStrip({
  panel,
  score,
  hand,
}: {
  readonly panel: Panel;
  readonly score: PanelScore;
  readonly hand: "right" | "left";
}) {
  const count = score.measures.length;
  const bands = bandsOf(score.repeats.passages, hand);
  const rows = Math.max(1, ...bands.map((band) => band + 1));
  const every = count > 60 ? 8 : count > 24 ? 4 : 1;
  return (
    <section class="strip" aria-label={`${hand === "right" ? "Right" : "Left"} hand`}>
      <h2>{hand === "right" ? "Right hand" : "Left hand"}</h2>
      <div
        class="strip-bars"
        style={{ "min-width": `${count * leastBarPx}px`, height: `${rows * bandPx + 20}px` }}
      >
        {score.measures.map(({ number }, index) => (
          <span
            key={index}
            class="bar"
            aria-hidden="true"
            style={{ left: `${(index * 100) / count}%`, width: `${100 / count}%` }}
          >
            {index % every === 0 ? number : ""}
          </span>
        ))}
        {score.repeats.passages.map((passage, number) =>
          passage.occurrences.map((occurrence, k) =>
            occurrence.hand === hand ? (
              <Occurrence
                key={`${number} ${k}`}
                panel={panel}
                passage={passage}
                number={number}
                occurrence={occurrence}
                count={count}
                band={bands[number]!}
              />
            ) : null,
          ),
        )}
      </div>
    </section>
  );
}

function Occurrence({
  panel,
  passage,
  number,
  occurrence,
  count,
  band,
}: {
  readonly panel: Panel;
  readonly passage: PanelPassage;
  readonly number: number;
  readonly occurrence: PanelOccurrence;
  readonly count: number;
  readonly band: number;
}) {
  const chosen = useStore(panel.store, (state) => state.passage === number);
  const { likeness } = occurrence;
  const how = likenessWords[likeness];
  return (
    <button
      type="button"
      class={`occurrence ${likeness}${chosen ? " chosen" : ""}`}
      data-tint={number % 6}
      aria-pressed={chosen}
      aria-label={`Passage ${passage.name}, ${occurrence.bars}, ${occurrence.hand} hand, ${how}`}
      title={`${passage.name}: ${occurrence.bars}, ${how}`}
      style={{
        left: `${(occurrence.from * 100) / count}%`,
        width: `${((occurrence.to - occurrence.from) * 100) / count}%`,
        top: `${band * bandPx + 18}px`,
      }}
      onClick={() => {
        panel.store.change({ passage: number });
        const cell = occurrence.cells.find((each) => each !== undefined);
        if (cell) panel.select(cell.notes.at(-1));
      }}
    >
      {passage.name}
      {likeness === "unlike" ? " ≠" : ""}
    </button>
  );
}

/** The band of each passage in a hand's strip: the first that is free wherever the passage stands. */
function bandsOf(passages: readonly PanelPassage[], hand: "right" | "left"): number[] {
  const taken: { from: number; to: number }[][] = [];
  return passages.map(({ occurrences }) => {
    const own = occurrences.filter((occurrence) => occurrence.hand === hand);
    if (own.length === 0) return 0;
    const isFree = (band: readonly { from: number; to: number }[]): boolean =>
      own.every(({ from, to }) => band.every((other) => other.to <= from || to <= other.from));
    const free = taken.findIndex(isFree);
    const band = free < 0 ? taken.push([]) - 1 : free;
    taken[band]!.push(...own);
    return band;
  });
}
