import type { Solution } from "../fingering/model.ts";
import type { Weights } from "../fingering/weights.ts";
import type { WrittenHand } from "../fingering/written.ts";
import { defineRule, type RuleInput } from "./define.ts";
import { type EasierFingers, easierEdits, easierFingers } from "./support/easierFingers.ts";
import { type FingerAgain, fingerAgain, isStaccato, runsOf } from "./support/fingerRuns.ts";
import { inWords, nameOf, placeOfNote } from "./support/places.ts";
import { isKeptAlike } from "./support/returns.ts";
import type { EventRange } from "./support/solveAround.ts";
import { replaceMicros, secondsText } from "./support/times.ts";

const anew = { title: "Finger these notes anew", safety: "ask" } as const;

export const sameFingerTooSoon = defineRule({
  id: "same-finger-too-soon",
  severity: "warning",
  summary:
    "One finger plays two different strings, one just after the other, where other fingers are easier.",
  why: "A finger that has plucked has to come off, travel and be set on its new string; with the next finger placed already none of that takes time. How fast a hand can be is an estimate: stop on pain; a teacher's or clinician's word goes first.",
  bad: "C4:2 D4:2 E4:1",
  good: "C4:3 D4:2 E4:1",
  fixes: [anew],
  check(input, report) {
    for (const hand of input.hands) {
      const runs = runsOf(hand, (event) => tooSoon(input, hand, event) !== undefined);
      const events = new Set(runs.flatMap((run) => [...eventsOf(run), run.last]));
      for (const run of runs) {
        const easier = easierFingers(input, hand, run, (solution) => isMended(hand, run, solution));
        if (!easier) continue;
        const pairs = eventsOf(run).map((event) => tooSoon(input, hand, event)!);
        const { after, before } = pairs[0]!;
        const least = Math.min(...pairs.map(({ micros }) => micros));
        const isImpossible = pairs.some((pair) => pair.micros < hardLimit(input.weights, pair));
        if (!isImpossible && isKept(input, hand, easier, events)) continue;
        const names = inWords([before, ...pairs.map((pair) => pair.after)].map(({ entry }) => nameOf(entry)));
        report({
          span: placeOfNote(after.entry),
          severity: isImpossible ? "error" : "warning",
          message: `${names} have ${fingersOf(pairs)} one after the other, ${secondsText(least)} apart; ${isImpossible ? "that is too fast to reach another string with one finger" : `a finger wants about ${secondsText(replaceMicros)} to get to another string`}.`,
          at: { hand, event: after.event },
          related: pairs.slice(1).map((pair) => ({
            span: placeOfNote(pair.after.entry),
            message: `${nameOf(pair.after.entry)} has finger ${pair.after.finger} as well.`,
          })),
          fixes: [{ ...anew, edits: () => easierEdits(input, hand, easier) }],
        });
      }
    }
  },
});

/** A note that would get another finger comes back elsewhere with this one, and is right there. */
function isKept(
  input: RuleInput,
  hand: WrittenHand,
  { notes, solution }: EasierFingers,
  wrong: ReadonlySet<number>,
): boolean {
  return notes.some(
    ({ event, stringAt, finger }) =>
      solution.fingers[event]![stringAt] !== finger && isKeptAlike(input, hand, event, wrong),
  );
}

/** The notes of this event and the next that one finger would have to play too soon, on different strings. */
function tooSoon(input: RuleInput, hand: WrittenHand, event: number): FingerAgain | undefined {
  const [here, next] = [hand.line.events[event]!, hand.line.events[event + 1]];
  if (!next || next.atMicros - here.atMicros >= replaceMicros) return undefined;
  const again = fingerAgain(input, hand, event);
  if (!again || again.before.entry.string === again.after.entry.string) return undefined;
  // A study of quick re-placing is marked so; beyond the limits no study helps.
  const isStudy = isStaccato(hand, event) && again.micros >= hardLimit(input.weights, again);
  return isStudy ? undefined : again;
}

function hardLimit({ hardLimits }: Weights, { before, after }: FingerAgain): number {
  const steps = Math.abs(after.entry.string - before.entry.string);
  return steps > hardLimits.leapSteps ? hardLimits.separateAfterLeapMicros : hardLimits.separateMicros;
}

/** The events of a range but its last one. */
function eventsOf({ first, last }: EventRange): number[] {
  return Array.from({ length: last - first }, (_, i) => first + i);
}

function isMended({ line }: WrittenHand, run: EventRange, { fingers }: Solution): boolean {
  return eventsOf(run).every((event) => {
    const [here, next] = [fingers[event]!, fingers[event + 1]!];
    return !here.some((finger, i) => {
      const again = finger === undefined ? -1 : next.indexOf(finger);
      return (
        again >= 0 && line.events[event]!.notes[i]!.string !== line.events[event + 1]!.notes[again]!.string
      );
    });
  });
}

/** `finger 2`, or `the same finger` where it is not one finger for all. */
function fingersOf(pairs: readonly FingerAgain[]): string {
  const { finger } = pairs[0]!.before;
  return pairs.every(({ after }) => after.finger === finger) ? `finger ${finger}` : "the same finger";
}
