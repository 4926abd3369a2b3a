import { fingerHands } from "../fingering/fingerHands.ts";
import type { Solution } from "../fingering/model.ts";
import { keepAll, type WrittenHand } from "../fingering/written.ts";
import { tiesOf } from "../passages/ties.ts";
import type { Analysis } from "./analyse.ts";
import { passagesOf } from "./passagesOf.ts";

/** Answers for one reading of a score, kept as long as that is. */
const known = new WeakMap<Analysis, readonly Solution[]>();

/**
 * What completing the print gives a hand: all that is printed kept, the rest found, passages that come back fingered
 * alike, as when the score is fingered. Searched for once.
 */
export function proposal(analysis: Analysis, written: WrittenHand): Solution {
  const { hands, weights, memory } = analysis;
  let solutions = known.get(analysis);
  if (!solutions) {
    const lines = hands.map(({ line }) => line);
    const ties = tiesOf(passagesOf(analysis).classes, lines);
    solutions = fingerHands(hands, weights, () => keepAll, ties, memory.solutions).solutions;
    known.set(analysis, solutions);
  }
  return solutions[hands.indexOf(written)]!;
}

/** The proposals for all hands of a score, in their order. */
export function proposals(analysis: Analysis): readonly Solution[] {
  return analysis.hands.map((written) => proposal(analysis, written));
}

/** Makes known what was proposed for another reading of the same text with the same settings. */
export function knowProposals(analysis: Analysis, solutions: readonly Solution[]): void {
  known.set(analysis, solutions);
}
