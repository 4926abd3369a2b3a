import { defineRule } from "./define.ts";
import { disagreements } from "./support/passages/disagreements.ts";
import { isBusyWithLevers } from "./support/passages/levers.ts";
import { isPlayedAtOtherSpeed, Reasons } from "./support/passages/reasons.ts";
import { isAtEdge } from "./support/passages/stretches.ts";
import { unifyFixes } from "./support/passages/unify.ts";
import {
  barsOf,
  comparedPlaces,
  firstDifference,
  firstEvent,
  firstSpan,
  relatedPlaces,
} from "./support/passages/words.ts";

const there = { title: "Bracket it there as here", safety: "ask" } as const;
const here = { title: "Bracket it here as there", safety: "ask" } as const;
const all = { title: "Bracket it everywhere as here", safety: "ask" } as const;

export const passageBracketedOtherwise = defineRule({
  id: "passage-bracketed-otherwise",
  severity: "warning",
  summary: "A passage comes back with the same fingers under other brackets.",
  why: "Brackets say what the hand places together. Others over the same notes and fingers are mostly a slip, and ask the player for two ways of playing one thing.",
  bad: "(C4:4 D4:3 E4:2 (G4:1) F4:2 D4:3 B3:4/1) | E4:2+G4:1/2 D4:2+F4:1/2 | C4:4 (D4:3 E4:2 (G4:1) F4:2 D4:3 B3:4/1) | C4:4+E4:3+G4:2+C5:1/4",
  good: "(C4:4 D4:3 E4:2 (G4:1) F4:2 D4:3 B3:4/1) | E4:2+G4:1/2 D4:2+F4:1/2 | (C4:4 D4:3 E4:2 (G4:1) F4:2 D4:3 B3:4/1) | C4:4+E4:3+G4:2+C5:1/4",
  fixes: [there, here, all],
  check(input, report) {
    const reasons = new Reasons(input);
    for (const disagreement of disagreements(input)) {
      if (!disagreement.exact || disagreement.about !== "brackets") continue;
      const speed = isPlayedAtOtherSpeed(disagreement);
      const levers = isBusyWithLevers(input, disagreement);
      const suits = !speed && !levers && reasons.suitsSurroundings(disagreement);
      const why = [
        speed ? " The tempo differs too." : "",
        levers ? " A lever is moved in one of them." : "",
        suits ? " Each suits the music around it." : "",
      ].join("");
      const where = `The passage of ${barsOf(disagreement.here)} comes back in ${barsOf(disagreement.there)}`;
      report({
        span: firstSpan(disagreement),
        severity: speed || levers || suits || isAtEdge(disagreement) ? "info" : undefined,
        message: `${where} under other brackets: ${firstDifference(disagreement)}.${why}`,
        at: { hand: disagreement.here.hand, event: firstEvent(disagreement) },
        places: comparedPlaces(disagreement),
        related: relatedPlaces(disagreement),
        fixes: unifyFixes(input, disagreement, { there, here, all }),
      });
    }
  },
});
