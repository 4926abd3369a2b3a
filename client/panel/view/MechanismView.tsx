import type { ComponentChildren } from "preact";
import type { MechanismPosition, PanelMechanism, PanelSetting } from "../../../shared/protocol/panel.ts";
import { comingMoves, moveWords, positionAt, standingWords } from "./mechanismAt.ts";
import type { Panel } from "./panel.ts";
import { useStore } from "./store.ts";

/** So many changes are told ahead. */
const mostComing = 3;

/** How the levers or pedals stand at the moment that is shown, and which of them move next. */
export function MechanismView({ panel }: { readonly panel: Panel }) {
  const mechanism = useStore(panel.store, ({ shown }) => shown?.score.mechanism);
  if (!mechanism) return null;
  return <Standing panel={panel} mechanism={mechanism} />;
}

function Standing({ panel, mechanism }: { readonly panel: Panel; readonly mechanism: PanelMechanism }) {
  // What is drawn changes only with a change, not with each instant.
  const micros = useStore(panel.store, ({ shown, timeMicros }) =>
    momentOf(shown?.score.mechanism ?? mechanism, timeMicros),
  );
  const words = standingWords(mechanism, micros);
  const coming = comingMoves(mechanism, micros, mostComing);
  const moving = new Set(coming.filter(({ fromMicros }) => fromMicros <= micros).map(({ name }) => name));
  return (
    <section class="mechanism" aria-label={mechanism.kind === "pedal" ? "Pedals" : "Levers"}>
      {mechanism.kind === "pedal" ? (
        <PedalPicture settings={mechanism.settings} micros={micros} moving={moving} words={words} />
      ) : (
        <LeverPicture settings={mechanism.settings} micros={micros} moving={moving} words={words} />
      )}
      <div class="mechanism-words">
        <p class="standing">{words}</p>
        {coming.length === 0 ? (
          <p>Nothing moves any more.</p>
        ) : (
          <ol aria-label="Changes that come">
            {coming.map((move) => (
              <li key={`${move.name} ${move.note}`} class={move.inTime ? "" : "late"}>
                <button type="button" class="link" onClick={() => panel.select(move.note)}>
                  {moveWords(mechanism, move)}
                </button>
              </li>
            ))}
          </ol>
        )}
      </div>
    </section>
  );
}

/** The last instant at which something of the levers or pedals changed. */
function momentOf({ settings, moves }: PanelMechanism, micros: number): number {
  let moment = Number.MIN_SAFE_INTEGER;
  const see = (at: number): void => {
    if (at <= micros && at > moment) moment = at;
  };
  for (const { steps } of settings) for (const { fromMicros } of steps) see(fromMicros);
  for (const { fromMicros, neededMicros } of moves) {
    see(fromMicros);
    see(neededMicros);
  }
  return moment;
}

interface PictureProps {
  readonly settings: readonly PanelSetting[];
  readonly micros: number;
  /** Names of what is being moved. */
  readonly moving: ReadonlySet<string>;
  readonly words: string;
}

interface FrameProps extends PictureProps {
  readonly width: number;
  readonly height: number;
  /** More of a slot's class, by what stands in it. */
  readonly look?: (setting: PanelSetting, position: MechanismPosition) => string;
  readonly slot: (setting: PanelSetting, position: MechanismPosition, place: number) => ComponentChildren;
}

/** One slot a pedal or lever, in their order. */
function Slots({ settings, micros, moving, words, width, height, look, slot }: FrameProps) {
  return (
    <svg
      class="mechanism-picture"
      viewBox={`0 0 ${width} ${height}`}
      width={width}
      height={height}
      role="img"
      aria-label={words}
    >
      {settings.map((setting, i) => {
        const position = positionAt(setting, micros);
        const own = look ? ` ${look(setting, position)}` : "";
        return (
          <g
            key={setting.name}
            class={`slot${own}${moving.has(setting.name) ? " moving" : ""}`}
            data-name={setting.name}
            data-position={position}
          >
            {slot(setting, position, i)}
          </g>
        );
      })}
    </svg>
  );
}

const pedalStep = 30;
const heights = { flat: 14, natural: 30, sharp: 46, up: 14, down: 34 } as const;

/** Seven slots as the feet see them, the pedal up for flat and down for sharp. */
function PedalPicture(props: PictureProps) {
  const { settings } = props;
  const leftFeet = settings.filter(({ foot }) => foot === "left").length;
  const xOf = (i: number): number => 20 + i * pedalStep + (i >= leftFeet ? pedalStep * 0.6 : 0);
  return (
    <Slots
      {...props}
      width={xOf(settings.length - 1) + 20}
      height={78}
      slot={({ name }, position, i) => (
        <>
          <path class="rail" d={`M${xOf(i)} ${heights.flat}V${heights.sharp}`} />
          <path class="notch" d={`M${xOf(i) - 5} ${heights.natural}H${xOf(i) + 5}`} />
          <rect class="foot-plate" x={xOf(i) - 9} y={heights[position] - 5} width="18" height="10" rx="4" />
          <text x={xOf(i)} y="72" text-anchor="middle">
            {name}
          </text>
        </>
      )}
    />
  );
}

const leverStep = 17;

/** A tick on each string that is played: raised while its lever is up. */
function LeverPicture(props: PictureProps) {
  const colorOf = (letter: string): string => (letter === "C" ? "c" : letter === "F" ? "f" : "plain");
  return (
    <Slots
      {...props}
      width={24 + leverStep * Math.max(0, props.settings.length - 1)}
      height={62}
      look={({ letter }, position) => `string ${colorOf(letter)} ${position}`}
      slot={({ name }, position, i) => {
        const x = 12 + i * leverStep;
        const y = heights[position];
        return (
          <>
            <line x1={x} x2={x} y1="6" y2="44" stroke-width="1.4" />
            <path
              class="tick"
              d={`M${x - 5} ${position === "up" ? y + 4 : y}L${x + 5} ${position === "up" ? y - 4 : y}`}
            />
            <text x={x} y="58" text-anchor="middle">
              {name}
            </text>
          </>
        );
      }}
    />
  );
}
