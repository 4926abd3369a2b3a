import type {
  MechanismPosition,
  PanelMechanism,
  PanelMove,
  PanelSetting,
} from "../../../shared/protocol/panel.ts";

/** How a pedal or lever stands at a moment. */
export function positionAt({ steps }: PanelSetting, micros: number): MechanismPosition {
  return steps.findLast(({ fromMicros }) => fromMicros <= micros)?.position ?? steps[0]!.position;
}

/** The changes whose notes are still to come, the nearest first. */
export function comingMoves({ moves }: PanelMechanism, micros: number, most: number): readonly PanelMove[] {
  const first = moves.findIndex(({ neededMicros }) => neededMicros > micros);
  return first < 0 ? [] : moves.slice(first, first + most);
}

const signs: Readonly<Record<MechanismPosition, string>> = {
  flat: "♭",
  natural: "♮",
  sharp: "♯",
  up: " up",
  down: " down",
};

/** `Pedals: D♮ C♯ B♭, right foot E♮ F♮ G♮ A♮.`; `Levers up: F4, C5.` */
export function standingWords({ kind, settings }: PanelMechanism, micros: number): string {
  if (kind === "lever") {
    const up = settings.filter((setting) => positionAt(setting, micros) === "up").map(({ name }) => name);
    return up.length === 0 ? "All levers are down." : `Levers up: ${up.join(", ")}.`;
  }
  const side = (wanted: "left" | "right"): string =>
    settings
      .filter(({ foot }) => foot === wanted)
      .map((setting) => `${setting.name}${signs[positionAt(setting, micros)]}`)
      .join(" ");
  return `Pedals: left foot ${side("left")}, right foot ${side("right")}.`;
}

/** `Bar 6, beat 2: E5 lever up, left hand, before its G2 in bar 5, beat 1.` */
export function moveWords({ kind }: PanelMechanism, move: PanelMove): string {
  const { name, to, who, when, inTime, rightIsFree, onRepeat, bar, beat } = move;
  const what = kind === "lever" ? `${name} lever ${to}` : `${name} pedal to ${to}`;
  const late = rightIsFree ? "no time for it, unless the right hand reaches it" : "no time for it";
  const time = inTime ? when : late;
  const repeat = onRepeat ? ["when the music comes back here"] : [];
  const parts = [what, who, ...(time === undefined ? [] : [time]), ...repeat];
  return `Bar ${bar}, beat ${beat}: ${parts.join(", ")}.`;
}
