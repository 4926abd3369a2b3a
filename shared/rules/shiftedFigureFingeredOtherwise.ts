import { defineRule } from "./define.ts";
import { disagreements } from "./support/passages/disagreements.ts";
import { isBusyWithLevers } from "./support/passages/levers.ts";
import { isWhereStringsDiffer, Reasons } from "./support/passages/reasons.ts";
import { unifyFixes } from "./support/passages/unify.ts";
import {
  barsOf,
  comparedPlaces,
  firstDifference,
  firstEvent,
  firstSpan,
  moreDifferences,
  relatedPlaces,
} from "./support/passages/words.ts";

const there = { title: "Finger it there as here", safety: "ask" } as const;
const here = { title: "Finger it here as there", safety: "ask" } as const;
const all = { title: "Finger it everywhere as here", safety: "ask" } as const;
const best = {
  title: "Finger it everywhere alike, as is best for all places together",
  safety: "ask",
} as const;

export const shiftedFigureFingeredOtherwise = defineRule({
  id: "shifted-figure-fingered-otherwise",
  severity: "info",
  summary: "A figure comes on other strings, or in the other hand, with other fingers.",
  why: "On the harp a figure keeps its shape on other strings and in either hand, so that the same fingers play it; alike fingers make a sequence easy to learn.",
  bad: "C4:4 D4:3 E4:2 G4:1 F4:2 D4:3 B3:4/1 | E4:2+G4:1/2 D4:2+F4:1/2 | D4:4 E4:3 F4:2 A4:1 G4:1 E4:2 C4:3/1 | C4:4+E4:3+G4:2+C5:1/4",
  good: "C4:4 D4:3 E4:2 G4:1 F4:2 D4:3 B3:4/1 | E4:2+G4:1/2 D4:2+F4:1/2 | D4:4 E4:3 F4:2 A4:1 G4:2 E4:3 C4:4/1 | C4:4+E4:3+G4:2+C5:1/4",
  fixes: [there, here, all, best],
  check(input, report) {
    const reasons = new Reasons(input);
    for (const disagreement of disagreements(input)) {
      if (disagreement.exact || isWhereStringsDiffer(input, disagreement)) continue;
      if (isBusyWithLevers(input, disagreement) || reasons.suitsSurroundings(disagreement)) continue;
      const where = `The figure of ${barsOf(disagreement.here)} comes again in ${barsOf(disagreement.there)}`;
      const what = `${firstDifference(disagreement)}${moreDifferences(disagreement)}`;
      report({
        span: firstSpan(disagreement),
        message: `${where} with other fingers: ${what}.`,
        at: { hand: disagreement.here.hand, event: firstEvent(disagreement) },
        places: comparedPlaces(disagreement),
        related: relatedPlaces(disagreement),
        fixes: unifyFixes(input, disagreement, { there, here, all, best }),
      });
    }
  },
});
