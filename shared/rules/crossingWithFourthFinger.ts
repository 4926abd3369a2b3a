import { defineRule } from "./define.ts";
import { betweenWords, reportCrossings, sidesWithFingers } from "./support/crossingReport.ts";

const regroup = { title: "Cross with an easier finger", safety: "ask" } as const;

export const crossingWithFourthFinger = defineRule({
  id: "crossing-with-fourth-finger",
  severity: "warning",
  summary: "A line crosses with 4 where another finger would do with as many crossings.",
  why: "The fourth finger is the weakest and has the furthest way under the thumb; 3 crosses more easily and leaves the hand quieter.",
  bad: "A4:1 C4:2 D4:1 E4:4 F4:3 G4:2 A4:1 r/0.5",
  good: "A4:1 C4:3 D4:2 E4:1 F4:3 G4:2 A4:1 r/0.5",
  fixes: [regroup],
  check(input, report) {
    reportCrossings(input, report, {
      fault: "fourth",
      fix: regroup,
      words: (place) => {
        const what = place.run.rising ? "4 goes under the thumb" : "the thumb goes over 4";
        const fingers = [...new Set(place.betterJoints.map(({ finger }) => finger))].sort();
        return `Between ${sidesWithFingers(place)} ${what}; with as many crossings ${fingers.join(" or ")} would do, ${betweenWords(place)}`;
      },
    });
  },
});
