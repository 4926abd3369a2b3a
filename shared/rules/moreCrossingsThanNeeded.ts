import { defineRule } from "./define.ts";
import { betweenWords, reportCrossings } from "./support/crossingReport.ts";
import { nameOf, numberWord } from "./support/places.ts";

const regroup = { title: "Group this line with fewer crossings", safety: "ask" } as const;

export const moreCrossingsThanNeeded = defineRule({
  id: "more-crossings-than-needed",
  severity: "info",
  summary: "A line in one direction crosses more often than it has to.",
  why: "Each crossing moves the hand while a finger holds it back: fewer and larger groups read and play more easily.",
  bad: "C4:3 D4:2 E4:1 F4:2 G4:1 A4:3 B4:2 C5:1",
  good: "C4:4 D4:3 E4:2 F4:1 G4:4 A4:3 B4:2 C5:1",
  fixes: [regroup],
  check(input, report) {
    reportCrossings(input, report, {
      fault: "tooMany",
      fix: regroup,
      words: (place) => {
        const { hand, run, betterJoints } = place;
        const name = (event: number): string => nameOf(hand.line.events[event]!.notes[0]!);
        const instead =
          betterJoints.length === 0
            ? "one placing would do"
            : `${times(betterJoints.length)} would do, ${betweenWords(place)}`;
        return `From ${name(run.first)} to ${name(run.last)} the fingers cross ${times(run.crossings.length)}; ${instead}`;
      },
    });
  },
});

function times(count: number): string {
  if (count === 1) return "once";
  return count === 2 ? "twice" : `${numberWord(count)} times`;
}
