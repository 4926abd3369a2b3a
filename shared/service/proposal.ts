import { fingerHands } from "../fingering/fingerHands.ts";
import type { Solution } from "../fingering/model.ts";
import { keepAll, type WrittenHand } from "../fingering/written.ts";
import type { Analysis } from "./analyse.ts";

/** Answers for one reading of a score, kept as long as that is. */
const known = new WeakMap<Analysis, readonly Solution[]>();

/** What completing the print gives a hand: all that is printed kept, the rest found. Searched for once. */
export function proposal(analysis: Analysis, written: WrittenHand): Solution {
  let solutions = known.get(analysis);
  if (!solutions) {
    solutions = fingerHands(analysis.hands, analysis.weights, () => keepAll).solutions;
    known.set(analysis, solutions);
  }
  return solutions[analysis.hands.indexOf(written)]!;
}
