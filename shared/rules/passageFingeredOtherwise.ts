import { defineRule } from "./define.ts";
import { disagreements } from "./support/passages/disagreements.ts";
import { isBusyWithLevers } from "./support/passages/levers.ts";
import { isPlayedAtOtherLoudness, Reasons } from "./support/passages/reasons.ts";
import { isAtEdge } from "./support/passages/stretches.ts";
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

export const passageFingeredOtherwise = defineRule({
  id: "passage-fingered-otherwise",
  severity: "warning",
  summary: "A passage comes back on the same strings with other fingers.",
  why: "What comes back is learned once: other fingers the second time are mostly a slip, and the player stumbles over them. Where the music around asks for them, that is said.",
  bad: "C4:4 D4:3 E4:2 G4:1 F4:2 D4:3 B3:4/1 | E4:2+G4:1/2 D4:2+F4:1/2 | C4:4 D4:3 E4:2 G4:1 F4:1 D4:2 B3:3/1 | C4:4+E4:3+G4:2+C5:1/4",
  good: "C4:4 D4:3 E4:2 G4:1 F4:2 D4:3 B3:4/1 | E4:2+G4:1/2 D4:2+F4:1/2 | C4:4 D4:3 E4:2 G4:1 F4:2 D4:3 B3:4/1 | C4:4+E4:3+G4:2+C5:1/4",
  fixes: [there, here, all, best],
  check(input, report) {
    const reasons = new Reasons(input);
    for (const disagreement of disagreements(input)) {
      if (!disagreement.exact || disagreement.about !== "fingers") continue;
      const levers = isBusyWithLevers(input, disagreement);
      const loudness = !levers && isPlayedAtOtherLoudness(input, disagreement);
      const suits = !levers && !loudness && reasons.suitsSurroundings(disagreement);
      const why = [
        levers ? " A lever is moved in one of them." : "",
        loudness ? " The dynamics differ too." : "",
        suits ? " Each suits the music around it." : "",
      ].join("");
      const where = `The passage of ${barsOf(disagreement.here)} comes back in ${barsOf(disagreement.there)}`;
      const what = `${firstDifference(disagreement)}${moreDifferences(disagreement)}`;
      report({
        span: firstSpan(disagreement),
        severity: levers || loudness || suits || isAtEdge(disagreement) ? "info" : undefined,
        message: `${where} with other fingers: ${what}.${why}`,
        at: { hand: disagreement.here.hand, event: firstEvent(disagreement) },
        places: comparedPlaces(disagreement),
        related: relatedPlaces(disagreement),
        fixes: unifyFixes(input, disagreement, { there, here, all, best }),
      });
    }
  },
});
