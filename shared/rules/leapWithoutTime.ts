import type { WrittenHand } from "../fingering/written.ts";
import { defineRule, type RuleInput, type Severity } from "./define.ts";
import { eventName, intervalWords, placeOfNote } from "./support/places.ts";
import { reachOf } from "./support/reach.ts";
import { isForTwoHarps, isOutOfTime, isSilentBetween, isTempoKnown, secondsWords } from "./support/timing.ts";
import { isUnclearlyGiven } from "./support/unclearMarks.ts";

/** Leaps so few events apart are one passage. */
const sameEvents = 4;

export const leapWithoutTime = defineRule({
  id: "leap-without-time",
  severity: "warning",
  summary:
    "A hand has to leap more than an octave in less time than that takes: hardly (warning) or not at all (error).",
  why: "A hand that leaps has to be carried over, to look for its strings and to place its fingers. The other hand may take one of the notes, or the tempo be slower.",
  bad: "R: @120 C4/0.5 C6/0.5 r/3 // L: C3/4",
  good: "R: @120 C4/0.5 C5/0.5 r/3 // L: C3/4",
  fixes: [],
  check(input, report) {
    if (isForTwoHarps(input.harp)) return;
    const { separateMicros } = input.weights.hardLimits;
    // A staff by itself may be meant for both hands.
    const oneStaff = input.harp.staves.length === 1 && input.harp.exceptions.size === 0;
    for (const hand of input.hands) {
      for (const passage of passagesOf(leapsOf(input, hand))) {
        const rank = (leap: Leap): number =>
          leap.micros - (severityOf(input, hand, leap) === "error" ? separateMicros : 0);
        const worst = passage.reduce((a, b) => (rank(b) < rank(a) ? b : a));
        const others = passage.filter((leap) => leap !== worst);
        report({
          span: placeOfNote(hand.line.events[worst.event]!.notes[0]!),
          severity: oneStaff ? "info" : severityOf(input, hand, worst),
          message: messageOf(input, hand, worst, others.length),
          at: { hand, event: worst.event },
          related: others.map(({ event, steps }) => ({
            span: placeOfNote(hand.line.events[event]!.notes[0]!),
            message: `Another leap, over ${intervalWords(steps)}.`,
          })),
        });
      }
    }
  },
});

interface Leap {
  /** Where the hand lands. */
  readonly event: number;
  /** Between the nearest strings. */
  readonly steps: number;
  readonly micros: number;
}

function leapsOf(input: RuleInput, hand: WrittenHand): Leap[] {
  const { weights } = input;
  const { leapSteps, separateAfterLeapMicros } = weights.hardLimits;
  const reach = reachOf(weights, 1, 4).possible;
  const { events } = hand.line;
  const leaps: Leap[] = [];
  for (let event = 1; event < events.length; event += 1) {
    const [from, to] = [events[event - 1]!, events[event]!];
    const micros = to.atMicros - from.atMicros;
    if (micros >= separateAfterLeapMicros || to.cutBefore) continue;
    const [a, b] = [from.notes, to.notes];
    const up = b[0]!.string - a[a.length - 1]!.string;
    const down = a[0]!.string - b[b.length - 1]!.string;
    const steps = Math.max(up, down);
    if (steps <= leapSteps) continue;
    const span = Math.max(b[b.length - 1]!.string - a[0]!.string, a[a.length - 1]!.string - b[0]!.string);
    // One placing takes both: nothing has to be carried over.
    if (a.length + b.length <= 4 && span <= reach) continue;
    // A grace note takes its time from another; what that leaves is not known to the thousandth.
    if (isOutOfTime(hand, event - 1) || isOutOfTime(hand, event)) continue;
    if (isUnclearlyGiven(input, hand, event - 1) || isUnclearlyGiven(input, hand, event)) continue;
    leaps.push({ event, steps, micros });
  }
  return leaps;
}

function passagesOf(leaps: readonly Leap[]): Leap[][] {
  const passages: Leap[][] = [];
  for (const leap of leaps) {
    const last = passages[passages.length - 1];
    if (last && leap.event - last[last.length - 1]!.event <= sameEvents) last.push(leap);
    else passages.push([leap]);
  }
  return passages;
}

/** It can be played all the same where the other hand is free to take a note. */
function severityOf(input: RuleInput, hand: WrittenHand, leap: Leap): Severity {
  const isTooFast = leap.micros < input.weights.hardLimits.separateMicros && isTempoKnown(input);
  return isTooFast && !isOtherFree(input, hand, leap) ? "error" : "warning";
}

function isOtherFree(input: RuleInput, hand: WrittenHand, { event }: Leap): boolean {
  const other = input.hands.find((candidate) => candidate !== hand);
  if (!other) return input.harp.staves.length > 1;
  const { events } = hand.line;
  const from = events[event - 1]!.atMicros;
  return isSilentBetween(other, from, events[event]!.atMicros + input.weights.hardLimits.separateMicros);
}

function messageOf(input: RuleInput, hand: WrittenHand, leap: Leap, others: number): string {
  const from = eventName(hand, leap.event - 1);
  const to = eventName(hand, leap.event);
  const time = secondsWords(input, leap.micros);
  const more = others > 0 ? `, and ${others} more ${others === 1 ? "leap" : "leaps"} near it` : "";
  const otherName = hand.hand === "right" ? "left" : "right";
  const isFree = isOtherFree(input, hand, leap);
  const advice = isFree ? ` The ${otherName} hand is free here and may take one of the notes.` : "";
  return `From ${from} to ${to} is ${intervalWords(leap.steps)}, with ${time} to get there${more}.${advice}`;
}
