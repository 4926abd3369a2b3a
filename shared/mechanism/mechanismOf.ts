import type { Weights } from "../fingering/weights.ts";
import { locksOf, searchLine, type WrittenHand } from "../fingering/written.ts";
import { alterInKey, type Stringing } from "../harp/tunings.ts";
import type { HandLine } from "../score/handLines.ts";
import { mechanismMarks } from "../score/mechanismMarks.ts";
import type { Score } from "../score/model.ts";
import { indexOfLetter } from "../score/pitch.ts";
import { compare } from "../score/rational.ts";
import type { Timeline } from "../score/timeline.ts";
import { leverNeeds } from "./leverNeeds.ts";
import { hasTimeFor, type PlannedChange, planLevers } from "./leverPlan.ts";
import { type PedalOptions, type PedalPlan, type PedalSetting, planPedals } from "./pedalPlan.ts";
import { type PlayedNote, playedEvents, playedNotes } from "./playedNotes.ts";

/** What the levers of a harp have to do in a piece, and when the left hand does it. */
export interface LeverPlan {
  /** How each string that is plucked has to be set at the start: string and alteration in semitones. */
  readonly start: ReadonlyMap<number, number>;
  readonly changes: readonly PlannedChange[];
  /** Notes that no string of the harp can sound. */
  readonly unplayable: readonly PlayedNote[];
}

/** Plans the levers of a lever harp around what is printed; undefined on another harp, or when its tuning is unknown. */
export function leversOf(
  score: Score,
  hands: readonly WrittenHand[],
  timeline: Timeline,
  stringing: Stringing | undefined,
  weights: Weights,
): LeverPlan | undefined {
  if (stringing?.harp.mechanism !== "lever" || !stringing.open) return undefined;
  const lines = hands.map(({ line }) => line);
  const played = playedEvents(score, lines, timeline);
  const { start, changes, unplayable } = leverNeeds(stringing, playedNotes(played, lines, timeline));
  const toSolve = (name: WrittenHand["hand"]) => {
    const hand = hands.find((one) => one.hand === name);
    return hand && { ...searchLine(hand.line), locks: locksOf(hand) };
  };
  const planned = planLevers(
    changes,
    played.filter(({ hand }) => hand === "left"),
    { right: toSolve("right"), left: toSolve("left") },
    weights,
  );
  const ofRight = played.filter(({ hand }) => hand === "right");
  const told = planned.map((change) =>
    change.atMicros === undefined && hasTimeFor(change.need, ofRight)
      ? { ...change, rightIsFree: true }
      : change,
  );
  return { start, changes: told, unplayable };
}

/** What the pedals of a pedal harp have to do; undefined on another harp. */
export function pedalsOf(
  score: Score,
  hands: readonly WrittenHand[],
  timeline: Timeline,
  stringing: Stringing | undefined,
  options: PedalOptions = {},
): PedalPlan | undefined {
  if (stringing?.harp.mechanism !== "pedal") return undefined;
  const lines = hands.map(({ line }) => line);
  const notes = playedNotes(playedEvents(score, lines, timeline), lines, timeline);
  return planPedals(stringing, notes, { idle: settingInPrint(lines), ...options });
}

/** How the pedals stand before the first note as far as a mark there or else the key signature tells. */
function settingInPrint(lines: readonly HandLine[]): PedalSetting {
  const parts = new Set(lines.flatMap(({ events }) => events.map(({ part }) => part)));
  const [part] = parts;
  const first = lines
    .flatMap(({ events }) => events[0]?.notes[0]?.note ?? [])
    .sort((a, b) => a.measure.index - b.measure.index || compare(a.position, b.position))[0];
  const setting = [..."CDEFGAB"].map((letter) => alterInKey(part?.key ?? 0, letter));
  for (const { measure, position, settings } of [...parts].flatMap(mechanismMarks)) {
    const ahead = first && (measure.index - first.measure.index || compare(position, first.position));
    if (ahead === undefined || ahead > 0) continue;
    for (const { letter, alter } of settings) setting[indexOfLetter(letter)] = alter;
  }
  return setting;
}

/** The hands with the left one free of the strings where it moves a lever. */
export function withLeversMoved(hands: readonly WrittenHand[], { changes }: LeverPlan): WrittenHand[] {
  const free = new Set(changes.flatMap(({ before }) => before ?? []));
  return hands.map((hand) => {
    if (hand.hand === "right" || free.size === 0) return hand;
    const events = hand.line.events.map((event, i) =>
      free.has(i) ? { ...event, handFreeBefore: true } : event,
    );
    return { ...hand, line: { ...hand.line, events } };
  });
}
