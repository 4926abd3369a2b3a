import { letterIndex } from "../harp/strings.ts";
import { alterationsOf, type Stringing, stringsSounding } from "../harp/tunings.ts";
import { changesTooClose, footOf, pedalMicros, pedalOrder } from "../mechanism/pedalFeet.ts";
import type { PlayedNote } from "../mechanism/playedNotes.ts";
import {
  type LeverPosition,
  leverPosition,
  type PedalPosition,
  pedalPosition,
} from "../mechanism/positions.ts";
import type { EventNote } from "../score/handLines.ts";
import type { HandName } from "../score/hands.ts";
import { letterOf, stringName } from "../score/pitch.ts";
import type { Analysis } from "./analyse.ts";
import type { PanelIds } from "./panelIds.ts";
import { pitchNames, placeName, placeOf } from "./places.ts";

/** How levers or pedals stand through a piece. Times are microseconds of the music as written, as those of the hands. */
export interface PanelMechanism {
  readonly kind: "lever" | "pedal";
  /** Pedals from left to right as they stand, D C B E F G A; levers of the strings that are played, lowest first. */
  readonly settings: readonly PanelSetting[];
  /** In the order of the notes that need them. */
  readonly moves: readonly PanelMove[];
}

export type MechanismPosition = PedalPosition | LeverPosition;

/** One pedal, or the lever of one string. */
export interface PanelSetting {
  /** `F`, a pedal; `F4`, a lever's string. */
  readonly name: string;
  readonly letter: string;
  /** The foot that moves a pedal. */
  readonly foot: "left" | "right" | undefined;
  /** In order of time; the first holds from the start. */
  readonly steps: readonly { readonly fromMicros: number; readonly position: MechanismPosition }[];
}

/** One pedal or lever goes to another position. */
export interface PanelMove {
  /** `F`, `F4`: as the setting. */
  readonly name: string;
  readonly to: MechanismPosition;
  /** `left hand`, `right foot`. */
  readonly who: string;
  /** Before which notes of the left hand a lever is moved: `before its G2 in bar 5, beat 1`. */
  readonly when: string | undefined;
  /** False when there is no time for it. */
  readonly inTime: boolean;
  /** The left hand has no time to move a lever, and the right one would have, if it reaches it. */
  readonly rightIsFree: boolean;
  /** It has to be made only when the music comes back from elsewhere. */
  readonly onRepeat: boolean;
  /** Id of the note that needs it. */
  readonly note: string;
  readonly bar: string;
  readonly beat: string;
  readonly fromMicros: number;
  readonly neededMicros: number;
}

/** What the panel shows of levers or pedals; undefined when no harp with them, and of levers no tuning, is chosen. */
export function panelMechanism(analysis: Analysis, ids: PanelIds): PanelMechanism | undefined {
  const { levers, pedals, instrument } = analysis;
  if (!instrument || !(levers || pedals)) return undefined;
  const kind = pedals ? "pedal" : "lever";
  const uses = usesByKey(analysis, instrument, kind);
  const planned = kind === "pedal" ? plannedPedals(analysis) : plannedLevers(analysis);
  const plannedFor = new Map(planned.map((move) => [useKey(move.key, move.next), move]));
  const keys = kind === "pedal" ? pedalOrder : [...uses.keys()].sort((a, b) => a - b);
  const onPage = new Set<string>();
  const settings = keys.map((key): PanelSetting => {
    const own = uses.get(key) ?? [];
    const position = (alter: number): MechanismPosition => positionOf(instrument, kind, key, alter);
    const start = own[0]?.alter ?? pedals?.start[key] ?? 0;
    const steps: { fromMicros: number; position: MechanismPosition }[] = [
      { fromMicros: Number.MIN_SAFE_INTEGER, position: position(start) },
    ];
    own.forEach((use, i) => {
      const before = own[i - 1];
      if (!before || before.alter === use.alter) return;
      const move = plannedFor.get(useKey(key, use));
      onPage.add(useKey(key, use));
      const fromMicros = Math.max(before.atMicros, use.atMicros - (move?.aheadMicros ?? 0));
      steps.push({ fromMicros, position: position(use.alter) });
    });
    const isPedal = kind === "pedal";
    return {
      name: isPedal ? letterOf(key) : stringName(key),
      letter: letterOf(key),
      foot: isPedal ? footOf(key) : undefined,
      steps,
    };
  });
  const told = new Map<string, PanelMove>();
  for (const move of planned) {
    const { key, to, next, who, when, inTime, rightIsFree, aheadMicros } = move;
    const hand = analysis.hands.find((one) => one.hand === next.hand)!;
    const neededMicros = hand.line.events[next.event]!.atMicros;
    const onRepeat = !onPage.has(useKey(key, next));
    const name = kind === "pedal" ? letterOf(key) : stringName(key);
    // What comes back in a repeat is one, and late when it is in one of the passes.
    const id = `${name} ${to} ${next.hand} ${next.event}`;
    const known = told.get(id);
    if (known && (inTime || !known.inTime)) continue;
    told.set(id, {
      name,
      to: positionOf(instrument, kind, key, to),
      who,
      when,
      inTime,
      rightIsFree,
      onRepeat,
      note: ids.note(next.entry.note),
      ...placeOf(hand, next.event),
      fromMicros: neededMicros - aheadMicros,
      neededMicros,
    });
  }
  return {
    kind,
    settings,
    moves: [...told.values()].sort((a, b) => a.neededMicros - b.neededMicros),
  };
}

function positionOf(
  instrument: Stringing,
  kind: PanelMechanism["kind"],
  key: number,
  alter: number,
): MechanismPosition {
  return kind === "pedal" ? pedalPosition(alter) : leverPosition(instrument, key, alter);
}

/** A note that needs a pedal or a lever to stand in some way. */
interface Use {
  readonly alter: number;
  readonly hand: HandName;
  readonly event: number;
  readonly atMicros: number;
}

/** By letter or by string, in the order of the print. */
function usesByKey(
  { hands }: Analysis,
  instrument: Stringing,
  kind: PanelMechanism["kind"],
): Map<number, Use[]> {
  const uses = new Map<number, Use[]>();
  for (const { hand, line } of hands) {
    line.events.forEach(({ notes, atMicros }, event) => {
      for (const entry of notes) {
        const played = playedOn(instrument, entry);
        if (!played || alterationsOf(instrument, played.string).length === 1) continue;
        const key = kind === "pedal" ? letterIndex(played.string) : played.string;
        const use = { alter: played.alter, hand, event, atMicros };
        const known = uses.get(key);
        if (known) known.push(use);
        else uses.set(key, [use]);
      }
    });
  }
  for (const own of uses.values()) own.sort((a, b) => a.atMicros - b.atMicros);
  return uses;
}

function playedOn(instrument: Stringing, { string, note }: EventNote) {
  return stringsSounding(instrument, { string, alter: Math.round(note.pitch.alter) })[0];
}

function useKey(key: number, { hand, event }: Pick<Use, "hand" | "event">): string {
  return `${key} ${hand} ${event}`;
}

/** A change as it is planned. */
interface PlannedMove extends Pick<PanelMove, "who" | "when" | "inTime" | "rightIsFree"> {
  /** A letter, or a string. */
  readonly key: number;
  readonly to: number;
  readonly next: PlayedNote;
  /** How long before its note it is made. */
  readonly aheadMicros: number;
}

function plannedLevers({ levers, hands }: Analysis): PlannedMove[] {
  const left = hands.find(({ hand }) => hand === "left");
  return levers!.changes.map(({ need: { string, to, next }, atMicros, before, rightIsFree = false }) => ({
    key: string,
    to,
    next,
    who: "left hand",
    when:
      left && before !== undefined
        ? `before its ${pitchNames(left, before).join("-")} in ${placeName(left, before)}`
        : undefined,
    inTime: atMicros !== undefined,
    rightIsFree,
    aheadMicros: atMicros === undefined ? 0 : next.atMicros - atMicros,
  }));
}

function plannedPedals({ pedals }: Analysis): PlannedMove[] {
  const late = new Set(changesTooClose(pedals!.changes));
  return pedals!.changes.map((change) => ({
    key: change.letter,
    to: change.to,
    next: change.next,
    who: `${footOf(change.letter)} foot`,
    when: undefined,
    inTime: !late.has(change),
    rightIsFree: false,
    aheadMicros: pedalMicros,
  }));
}
