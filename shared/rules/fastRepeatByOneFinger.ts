import type { Solution } from "../fingering/model.ts";
import type { WrittenHand } from "../fingering/written.ts";
import { defineRule, type RuleInput } from "./define.ts";
import { easierEdits, easierFingers } from "./support/easierFingers.ts";
import { type FingerAgain, fingerAgain, isStaccato, runsOf } from "./support/fingerRuns.ts";
import { nameOf, numberWord, placeOfNote } from "./support/places.ts";
import type { EventRange } from "./support/solveAround.ts";
import { secondsText } from "./support/times.ts";

const alternate = { title: "Repeat with another finger by turns", safety: "ask" } as const;

export const fastRepeatByOneFinger = defineRule({
  id: "fast-repeat-by-one-finger",
  severity: "warning",
  summary: "One finger repeats a string faster than it can be set on it again.",
  why: "Quick repeated notes go by turns between two or three fingers, or between the hands: each is ready over the string while another plucks. How fast a hand can be is an estimate: stop on pain; a teacher's or clinician's word goes first.",
  bad: "@140 (C4/0.25:3 D4/0.25:2 E4/0.25:1) E4/0.25:1 r",
  good: "@140 (C4/0.25:3 D4/0.25:2 E4/0.25:1) E4/0.25:2 r",
  fixes: [alternate],
  check(input, report) {
    for (const hand of input.hands) {
      for (const run of runsOf(hand, (event) => tooFast(input, hand, event) !== undefined)) {
        const easier = easierFingers(input, hand, run, (solution) => isMended(hand, run, solution));
        if (!easier) continue;
        const { after, micros } = tooFast(input, hand, run.first)!;
        const times = run.last - run.first + 1;
        report({
          span: placeOfNote(after.entry),
          message: `${nameOf(after.entry)} is plucked ${times === 2 ? "twice" : `${numberWord(times)} times`} with finger ${after.finger}, ${secondsText(micros)} apart: take fingers by turns, or share the string between the hands.`,
          at: { hand, event: after.event },
          fixes: [{ ...alternate, edits: () => easierEdits(input, hand, easier) }],
        });
      }
    }
  },
});

/** The note of this event and the next that one finger would have to repeat too fast. */
function tooFast(input: RuleInput, hand: WrittenHand, event: number): FingerAgain | undefined {
  const [here, next] = [hand.line.events[event]!, hand.line.events[event + 1]];
  if (!next || next.atMicros - here.atMicros >= input.weights.sameString.fastMicros) return undefined;
  // A damped note is stopped by the finger that played it.
  if (isStaccato(hand, event)) return undefined;
  const again = fingerAgain(input, hand, event);
  return again?.before.entry.string === again?.after.entry.string ? again : undefined;
}

function isMended({ line }: WrittenHand, { first, last }: EventRange, { fingers }: Solution): boolean {
  for (let event = first; event < last; event += 1) {
    const isSame = line.events[event]!.notes.some(({ string }, i) => {
      const j = line.events[event + 1]!.notes.findIndex((other) => other.string === string);
      return j >= 0 && fingers[event]![i] === fingers[event + 1]![j];
    });
    if (isSame) return false;
  }
  return true;
}
