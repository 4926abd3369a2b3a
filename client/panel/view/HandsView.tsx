import type { Engraver } from "./engraver.ts";
import { Harp } from "./Harp.tsx";
import { MechanismView } from "./MechanismView.tsx";
import type { Panel } from "./panel.ts";
import { ScoreSystems } from "./ScoreSystems.tsx";
import { useStore } from "./store.ts";
import type { Layout } from "./useEngraved.ts";

/** The harp, with the system that is being played under it. */
export function HandsView({
  panel,
  engraver,
  layout,
}: {
  readonly panel: Panel;
  readonly engraver: Engraver;
  readonly layout: Layout | undefined;
}) {
  const measure = useStore(panel.store, ({ shown, timeMicros }) => {
    if (!shown) return 0;
    const events = shown.score.hands.map((hand) => hand.events[shown.index.lastEventAt(hand, timeMicros)]);
    return Math.max(0, ...events.map((event) => event?.measure ?? 0));
  });
  const only = layout?.engraved.systems.findIndex(({ first, last }) => first <= measure && measure <= last);
  return (
    <div class="hands-view">
      <Harp panel={panel} size="large" />
      <HarpKey />
      <MechanismView panel={panel} />
      <HandWords panel={panel} />
      {layout ? <ScoreSystems panel={panel} engraver={engraver} layout={layout} only={only ?? 0} /> : null}
    </div>
  );
}

/** What the shapes mean. */
function HarpKey() {
  return (
    <ul class="harp-key" aria-label="What the signs on the harp mean">
      <li>
        <svg class="harp-picture" viewBox="0 0 36 20" width="36" height="20" aria-hidden="true">
          <g class="hand right">
            <g class="finger placed">
              <circle cx="9" cy="10" r="7" />
            </g>
          </g>
          <g class="hand left">
            <g class="finger placed">
              <rect x="20" y="3" width="14" height="14" rx="3" />
            </g>
          </g>
        </svg>
        right, left hand: placed
      </li>
      <li>
        <svg class="harp-picture" viewBox="0 0 20 20" width="20" height="20" aria-hidden="true">
          <g class="hand right">
            <g class="finger coming">
              <circle cx="10" cy="10" r="7" />
            </g>
          </g>
        </svg>
        about to be placed
      </li>
      <li>
        <svg class="harp-picture" viewBox="0 0 20 20" width="20" height="20" aria-hidden="true">
          <g class="hand right">
            <g class="finger played">
              <circle cx="10" cy="10" r="5" />
            </g>
          </g>
        </svg>
        just played
      </li>
      <li>
        <svg class="harp-picture" viewBox="0 0 26 20" width="26" height="20" aria-hidden="true">
          <g class="eyes">
            <path class="eye" d="M3 10Q13 0 23 10Q13 20 3 10Z" />
            <circle cx="13" cy="10" r="2.6" />
          </g>
        </svg>
        where the eyes go
      </li>
    </ul>
  );
}

/** What each hand does now, in a line each. */
function HandWords({ panel }: { readonly panel: Panel }) {
  const words = useStore(panel.store, ({ shown, timeMicros }) => {
    if (!shown) return "";
    return shown.score.hands
      .map((hand) => {
        const at = shown.index.lastEventAt(hand, timeMicros);
        const event = hand.events[Math.max(0, at)];
        const fingers = event?.notes.map(({ finger }) => finger ?? "–").join(" ") ?? "";
        const next = hand.placings.find(({ first }) => first > at);
        const follows = next ? `, then ${jointWords[next.joint]}` : "";
        return `${hand.hand === "right" ? "Right" : "Left"} hand: bar ${event?.bar}, beat ${event?.beat}, ${fingers}${follows}.`;
      })
      .join("\n");
  });
  return (
    <div class="hand-words">
      {words.split("\n").map((line) => (
        <p key={line}>{line}</p>
      ))}
    </div>
  );
}

const jointWords = {
  start: "begins",
  separate: "comes off and places anew",
  overlap: "turns on a shared note",
  cross: "crosses",
} as const;
