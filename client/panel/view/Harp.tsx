import type { PanelHand, PanelString } from "../../../shared/protocol/panel.ts";
import { fingersAt, looksAt, type ShownFinger } from "./handsAt.ts";
import type { Panel } from "./panel.ts";
import { useStore } from "./store.ts";
import { useElementWidth } from "./useElementWidth.ts";

/** Where the strings of a drawn harp stand, in pixels. */
interface HarpShape {
  readonly width: number;
  readonly height: number;
  readonly lowest: number;
  readonly count: number;
  /** Between neighbouring strings. */
  readonly gap: number;
}

const sideRoom = 20;
const labelRoom = 22;
/** Thumb uppermost, as the hand stands on the strings. */
const fingerStep = 15;

function harpShape(strings: readonly PanelString[], width: number, height: number): HarpShape {
  const count = strings.length;
  return {
    width,
    height,
    lowest: strings[0]!.string,
    count,
    gap: (width - 2 * sideRoom) / Math.max(1, count - 1),
  };
}

function xOf({ lowest, gap }: HarpShape, string: number): number {
  return sideRoom + (string - lowest) * gap;
}

/** The neck: high at the pillar, a hollow, and a rise to the shoulder. */
function topOf(shape: HarpShape, string: number): number {
  const u = (string - shape.lowest) / Math.max(1, shape.count - 1);
  const room = shape.height - labelRoom;
  return (
    room * (0.13 + 0.17 * u - 0.03 * Math.sin(u * Math.PI * 2) * (1 - u) + 0.05 * Math.sin(u * Math.PI) ** 2)
  );
}

/** The soundboard: it rises from the pillar's foot to the shoulder. */
function bottomOf(shape: HarpShape, string: number): number {
  const u = (string - shape.lowest) / Math.max(1, shape.count - 1);
  return (shape.height - labelRoom) * (0.97 - 0.2 * u);
}

/** The place of a finger: each hand at its own height of the strings, the fingers one under the other. */
function fingerPoint(
  shape: HarpShape,
  hand: "right" | "left",
  string: number,
  finger: number,
): [number, number] {
  const top = topOf(shape, string);
  const bottom = bottomOf(shape, string);
  const share = hand === "right" ? 0.33 : 0.7;
  return [xOf(shape, string), top + (bottom - top) * share + (finger - 2.5) * fingerStep];
}

interface HarpProps {
  readonly panel: Panel;
  /** A small one stands beside the score, a large one by itself. */
  readonly size: "small" | "large";
}

/** The harp's strings and the fingers of both hands on them. */
export function Harp({ panel, size }: HarpProps) {
  const [box, width] = useElementWidth();
  const shown = useStore(panel.store, (state) => state.shown);
  const strings = shown?.score.strings ?? [];
  const height =
    size === "large" ? Math.max(300, Math.min(460, width * 0.5)) : Math.max(220, Math.min(260, width * 0.7));
  if (!shown || strings.length === 0) return null;
  const shape = width > 0 ? harpShape(strings, width, height) : undefined;
  return (
    <div ref={box} class={`harp ${size}`}>
      {shape ? (
        <HarpPicture panel={panel} shape={shape} strings={strings} hands={shown.score.hands} />
      ) : (
        <div style={{ height: `${height}px` }} />
      )}
    </div>
  );
}

interface PictureProps {
  readonly panel: Panel;
  readonly shape: HarpShape;
  readonly strings: readonly PanelString[];
  readonly hands: readonly PanelHand[];
}

function HarpPicture({ panel, shape, strings, hands }: PictureProps) {
  const micros = useStore(panel.store, (state) => state.timeMicros);
  const now = hands.map((hand) => ({
    hand: hand.hand,
    fingers: fingersAt(hand, micros),
    looks: looksAt(hand, micros),
  }));
  const played = new Set(
    now.flatMap(({ fingers }) => fingers.filter(isPlayed).map(({ stay }) => stay.string)),
  );
  const radius = shape.gap < 10 ? 8 : 10;
  return (
    <svg
      class="harp-picture"
      viewBox={`0 0 ${shape.width} ${shape.height}`}
      width={shape.width}
      height={shape.height}
      role="img"
      aria-label={harpWords(now, strings)}
    >
      <HarpFrame shape={shape} strings={strings} />
      <HarpStrings shape={shape} strings={strings} played={played} />
      {now.map(({ hand, looks }) =>
        looks.map((look) => <Eyes key={`${hand} ${look.placing}`} shape={shape} look={look} hand={hand} />),
      )}
      {now.map(({ hand, fingers }) => (
        <g key={hand} class={`hand ${hand}`}>
          <HandLines shape={shape} hand={hand} fingers={fingers} />
          {fingers.map(({ stay, state }) => {
            const [x, y] = fingerPoint(shape, hand, stay.string, stay.finger);
            const r = state === "played" ? radius * 0.72 : radius;
            return (
              <g
                key={`${stay.placing} ${stay.note}`}
                class={`finger ${state}`}
                data-string={stay.string}
                data-finger={stay.finger}
              >
                {hand === "right" ? (
                  <circle cx={x} cy={y} r={r} />
                ) : (
                  <rect x={x - r} y={y - r} width={2 * r} height={2 * r} rx={r * 0.35} />
                )}
                <text x={x} y={y} dy="0.35em" text-anchor="middle">
                  {stay.finger}
                </text>
              </g>
            );
          })}
        </g>
      ))}
    </svg>
  );
}

function isPlayed({ state }: ShownFinger): boolean {
  return state === "played";
}

/** The strings of the fingers of one placing are joined by a line, as its notes are by the bracket in print. */
function HandLines({
  shape,
  hand,
  fingers,
}: {
  readonly shape: HarpShape;
  readonly hand: "right" | "left";
  readonly fingers: readonly ShownFinger[];
}) {
  const placings = [...new Set(fingers.filter((each) => !isPlayed(each)).map(({ stay }) => stay.placing))];
  return (
    <>
      {placings.map((placing) => {
        const own = fingers.filter((each) => each.stay.placing === placing && !isPlayed(each));
        const points = own
          .map(({ stay }) => fingerPoint(shape, hand, stay.string, stay.finger))
          .sort((a, b) => a[0] - b[0]);
        const coming = own.every(({ state }) => state === "coming");
        return (
          <polyline
            key={placing}
            class={coming ? "placing-line coming" : "placing-line"}
            points={points.map((point) => point.join(",")).join(" ")}
          />
        );
      })}
    </>
  );
}

function HarpFrame({
  shape,
  strings,
}: {
  readonly shape: HarpShape;
  readonly strings: readonly PanelString[];
}) {
  const first = strings[0]!.string;
  const last = strings.at(-1)!.string;
  const along = (edge: (shape: HarpShape, string: number) => number, lift: number): string =>
    strings
      .map(({ string }, i) => `${i === 0 ? "M" : "L"}${xOf(shape, string)} ${edge(shape, string) + lift}`)
      .join("");
  const pillar = `M${xOf(shape, first) - 11} ${topOf(shape, first) - 4}L${xOf(shape, first) - 11} ${bottomOf(shape, first) + 4}`;
  const shoulder = `M${xOf(shape, last) + 9} ${topOf(shape, last) - 4}L${xOf(shape, last) + 9} ${bottomOf(shape, last) + 4}`;
  return (
    <g class="harp-frame">
      <path class="board" d={along(bottomOf, 4)} />
      <path class="neck" d={along(topOf, -4)} />
      <path class="pillar" d={pillar} />
      <path class="shoulder" d={shoulder} />
    </g>
  );
}

function HarpStrings({
  shape,
  strings,
  played,
}: {
  readonly shape: HarpShape;
  readonly strings: readonly PanelString[];
  readonly played: ReadonlySet<number>;
}) {
  return (
    <g class="strings">
      {strings.map(({ string, letter, name }, i) => (
        <g key={string} class={`string ${letter === "C" ? "c" : letter === "F" ? "f" : "plain"}`}>
          <line
            class={played.has(string) ? "rings" : ""}
            x1={xOf(shape, string)}
            x2={xOf(shape, string)}
            y1={topOf(shape, string)}
            y2={bottomOf(shape, string)}
            stroke-width={2.1 - (1.2 * i) / Math.max(1, strings.length - 1)}
          />
          {letter === "C" || letter === "F" ? (
            <text x={xOf(shape, string)} y={shape.height - 6} text-anchor="middle">
              {letter === "C" ? name : letter}
            </text>
          ) : null}
        </g>
      ))}
    </g>
  );
}

/** Where the eyes are needed: an eye over the strings that the hand lands on. */
function Eyes({
  shape,
  look,
  hand,
}: {
  readonly shape: HarpShape;
  readonly look: { readonly lowest: number; readonly highest: number; readonly clash: boolean };
  readonly hand: "right" | "left";
}) {
  const left = xOf(shape, look.lowest);
  const right = xOf(shape, look.highest);
  const middle = Math.max(14, Math.min(shape.width - 14, (left + right) / 2));
  const y = hand === "right" ? 9 : 21;
  return (
    <g class={look.clash ? "eyes clash" : "eyes"} data-hand={hand}>
      <path class="range" d={`M${left - 5} ${y + 9}L${right + 5} ${y + 9}`} />
      <path
        class="eye"
        d={`M${middle - 10} ${y}Q${middle} ${y - 10} ${middle + 10} ${y}Q${middle} ${y + 10} ${middle - 10} ${y}Z`}
      />
      <circle cx={middle} cy={y} r="2.6" />
      {look.clash ? (
        <text x={middle + 14} y={y} dy="0.35em">
          both hands
        </text>
      ) : null}
    </g>
  );
}

function harpWords(
  now: readonly { hand: string; fingers: readonly ShownFinger[]; looks: readonly unknown[] }[],
  strings: readonly PanelString[],
): string {
  const names = new Map(strings.map(({ string, name }) => [string, name]));
  const list = (fingers: readonly ShownFinger[], state: string): string =>
    fingers
      .filter((each) => each.state === state)
      .map(({ stay }) => `${stay.finger} on ${names.get(stay.string)}`)
      .join(", ");
  const hands = now.map(({ hand, fingers, looks }) => {
    const parts = [
      ["just played", list(fingers, "played")],
      ["placed", list(fingers, "placed")],
      ["about to be placed", list(fingers, "coming")],
    ].flatMap(([what, which]) => (which === "" ? [] : `${what} ${which}`));
    const eyes = looks.length > 0 ? ["the eyes are here"] : [];
    return `${hand} hand: ${[...parts, ...eyes].join("; ") || "off the strings"}.`;
  });
  return `Harp, seen with the low strings on the left. ${hands.join(" ")}`;
}
