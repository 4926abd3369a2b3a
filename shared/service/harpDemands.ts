import { costOf } from "../fingering/bothHands.ts";
import { solveBoth } from "../fingering/jumps.ts";
import type { FingeringLine, HandName } from "../fingering/model.ts";
import { searchLine, type WrittenHand } from "../fingering/written.ts";
import type { Harp } from "../harp/instruments.ts";
import { type OpenTuning, openTunings, type Stringing } from "../harp/tunings.ts";
import { isLeverUp } from "../mechanism/leverNeeds.ts";
import { pedalsOf } from "../mechanism/mechanismOf.ts";
import { changesTooClose, footOf } from "../mechanism/pedalFeet.ts";
import type { PlayedNote } from "../mechanism/playedNotes.ts";
import { leverPosition, pedalPosition } from "../mechanism/positions.ts";
import { letterOf, pitchName, stringName } from "../score/pitch.ts";
import { Timeline } from "../score/timeline.ts";
import { type Analysis, analyse } from "./analyse.ts";
import { type EventPlace, placeOf } from "./places.ts";

/** What playing a piece on a lever harp asks for in one tuning of its open strings. */
export interface TuningDemands {
  readonly tuning: OpenTuning;
  /** Names of the notes that this harp does not have, each once, in the order in which they are met. */
  readonly lacking: readonly string[];
  readonly changes: number;
  /** How many of them the left hand has no time for, and how many it makes while their string still sounds. */
  readonly withoutTime: number;
  readonly whileRinging: number;
  /** What the best fingering of both hands costs more because of them, in thousandths. */
  readonly fingeringMilli: number;
}

/** One lever or pedal that is moved. */
export interface Move {
  /** The note that needs it. */
  readonly place: EventPlace;
  readonly hand: HandName;
  /** `F4`, a string; of a pedal its letter. */
  readonly what: string;
  /** `up` or `down`; of a pedal `flat`, `natural` or `sharp`. */
  readonly to: string;
  /** The last notes that need it as it was: after them it may be moved. Left out when there are none. */
  readonly after?: EventPlace & { readonly notes: readonly string[] };
  /** The foot that moves a pedal. */
  readonly foot?: "left" | "right";
  /** Before which of its notes the left hand moves a lever; undefined after its last one. */
  readonly before?: EventPlace & { readonly notes: readonly string[] };
  /** False when there is no time for it. */
  readonly inTime: boolean;
  readonly rings?: boolean;
  /** The left hand has no time to move a lever, and the right one would have, if it reaches it. */
  readonly rightIsFree?: boolean;
}

/** Notes that the harp does not have, or whose pedal another note at the same instant needs otherwise. */
export interface LackingNotes {
  readonly place: EventPlace;
  readonly hand: HandName;
  readonly notes: readonly string[];
}

/** What a piece asks of the harp that the settings name. */
export interface HarpDemands {
  readonly mechanism: Harp["mechanism"];
  /** Strings whose lever is up at the start, lowest first; of a pedal harp the positions of C D E F G A B. */
  readonly leversUp?: readonly string[];
  readonly pedals?: readonly number[];
  readonly moves: readonly Move[];
  /** Notes that cannot be had, or not together, each place once. */
  readonly lacking: readonly LackingNotes[];
  /** How few moves do when notes may be played on neighbouring strings that sound the same; of a pedal harp. */
  readonly fewestMoves?: number;
}

/** Every common tuning of a lever harp, as its makers tune them, and what the piece asks for in each. */
export function tuningDemands(analysis: Analysis, harp: Harp, levers?: readonly string[]): TuningDemands[] {
  return openTunings.map((tuning) => {
    const instrument: Stringing = { harp, open: tuning, ...(levers ? { levers } : {}) };
    const tuned = analyse(analysis.text, { ...analysis.settings, instrument });
    const { changes, unplayable } = tuned.levers!;
    return {
      tuning,
      lacking: [...new Set(unplayable.map(({ entry }) => pitchName(entry.note.pitch)))],
      changes: changes.length,
      withoutTime: changes.filter(({ atMicros }) => atMicros === undefined).length,
      whileRinging: changes.filter(({ rings }) => rings).length,
      fingeringMilli: fingeringCost(tuned.hands, tuned) - fingeringCost(analysis.hands, tuned),
    };
  });
}

/** The best tuning first: all notes, then the least without time, then the fewest changes, then the fingering. */
export function easiestTuning(all: readonly TuningDemands[]): TuningDemands {
  const rank = (one: TuningDemands): number[] => [
    one.lacking.length,
    one.withoutTime,
    one.changes,
    one.fingeringMilli,
  ];
  return all.reduce((best, one) => {
    const at = rank(one).findIndex((value, i) => value !== rank(best)[i]);
    return at >= 0 && rank(one)[at]! < rank(best)[at]! ? one : best;
  });
}

function fingeringCost(hands: readonly WrittenHand[], { weights }: Analysis): number {
  const line = (name: HandName): FingeringLine | undefined => {
    const hand = hands.find((one) => one.hand === name);
    return hand && searchLine(hand.line);
  };
  return costOf(solveBoth({ right: line("right"), left: line("left") }, weights));
}

/** What the levers or pedals of the settings' harp have to do; undefined when its tuning is not known. */
export function harpDemands(analysis: Analysis): HarpDemands | undefined {
  const { instrument, levers, pedals } = analysis;
  if (instrument && levers) {
    const up = [...levers.start]
      .filter(([string, alter]) => isLeverUp(instrument, string, alter))
      .map(([string]) => string)
      .sort((a, b) => a - b);
    return {
      mechanism: "lever",
      leversUp: up.map(stringName),
      moves: leverMoves(analysis),
      lacking: lackingOf(
        analysis.hands,
        levers.unplayable.map((note) => [note]),
      ),
    };
  }
  if (!instrument || !pedals) return undefined;
  const { score, hands, settings } = analysis;
  const timeline = new Timeline(score, settings.tempo);
  const fewest = pedalsOf(score, hands, timeline, instrument, { respell: true })!;
  return {
    mechanism: "pedal",
    pedals: pedals.start,
    moves: pedalMoves(analysis),
    lacking: lackingOf(hands, pedals.impossible),
    fewestMoves: fewest.changes.length,
  };
}

function leverMoves({ instrument, levers, hands }: Analysis): Move[] {
  const left = hands.find(({ hand }) => hand === "left");
  return levers!.changes.map(
    ({ need: { string, to, last, next }, atMicros, before, rings, rightIsFree }) => ({
      ...whereOf(hands, next),
      what: stringName(string),
      to: leverPosition(instrument!, string, to),
      ...afterOf(hands, last),
      ...(left && before !== undefined ? { before: eventAt(left, before) } : {}),
      inTime: atMicros !== undefined,
      rings,
      ...(rightIsFree ? { rightIsFree } : {}),
    }),
  );
}

function eventAt(hand: WrittenHand, event: number): NonNullable<Move["before"]> {
  const notes = hand.line.events[event]!.notes.map(({ note }) => pitchName(note.pitch));
  return { ...placeOf(hand, event), notes };
}

function afterOf(hands: readonly WrittenHand[], last: PlayedNote | undefined): Pick<Move, "after"> {
  const hand = last && hands.find((one) => one.hand === last.hand);
  return hand ? { after: eventAt(hand, last.event) } : {};
}

function pedalMoves({ pedals, hands }: Analysis): Move[] {
  const late = new Set(changesTooClose(pedals!.changes));
  return pedals!.changes.map((change) => ({
    ...whereOf(hands, change.next),
    what: letterOf(change.letter),
    to: pedalPosition(change.to),
    ...afterOf(hands, change.last),
    foot: footOf(change.letter),
    inTime: !late.has(change),
  }));
}

function whereOf(hands: readonly WrittenHand[], next: PlayedNote): Pick<Move, "place" | "hand"> {
  const hand = hands.find((one) => one.hand === next.hand)!;
  return { place: placeOf(hand, next.event), hand: next.hand };
}

/** What comes back in a repeat is told once. */
function lackingOf(
  hands: readonly WrittenHand[],
  together: readonly (readonly PlayedNote[])[],
): LackingNotes[] {
  const found = new Map<string, LackingNotes>();
  for (const notes of together) {
    const [first] = notes;
    const names = notes.map(({ entry }) => pitchName(entry.note.pitch));
    const key = `${first!.hand} ${first!.event} ${names.join(" ")}`;
    if (!found.has(key)) found.set(key, { ...whereOf(hands, first!), notes: names });
  }
  return [...found.values()];
}
