import { defineRule } from "./define.ts";
import { betweenWords, reportCrossings, sidesWithFingers } from "./support/crossingReport.ts";
import { intervalWords } from "./support/places.ts";

const move = { title: "Cross between neighbouring strings", safety: "ask" } as const;

export const crossingOverSkip = defineRule({
  id: "crossing-over-skip",
  severity: "warning",
  summary: "A line crosses over a skip where it could cross between neighbouring strings.",
  why: "A finger that passes under the thumb, or the thumb that passes over a finger, gets easily to the next string only; over a skip the hand has to turn and reach for a string that it does not feel.",
  bad: "C4:2 D4:1 F4:3 G4:2 A4:1 G4:2",
  good: "C4:3 D4:2 F4:1 G4:2 A4:1 G4:2",
  fixes: [move],
  check(input, report) {
    reportCrossings(input, report, {
      fault: "skip",
      fix: move,
      words: (place) => {
        const { crossing, betterJoints } = place;
        const instead = betterJoints.length === 0 ? "one placing would do" : `easier ${betweenWords(place)}`;
        return `The fingers cross over ${intervalWords(crossing.steps)} between ${sidesWithFingers(place)}; ${instead}`;
      },
    });
  },
});
