import { costOf } from "./bothHands.ts";
import type { FingeringLine, Solution } from "./model.ts";
import { SolutionMemory } from "./solutionMemory.ts";
import { solveTied, type Tie } from "./tied.ts";
import type { Weights } from "./weights.ts";
import { type Keep, locksOf, searchLine, type WrittenHand } from "./written.ts";

/** The fingerings of the hands of a score. */
export interface HandsFingered {
  /** One for each hand, in their order. */
  readonly solutions: readonly Solution[];
  readonly totalMilli: number;
  /** What fingering passages alike costs at most: the total less what the best fingering without ties costs. */
  readonly gapMilli: number;
}

/**
 * The best fingering of the hands of a score together.
 *
 * @param hands one or two hands; each at most once.
 * @param keep  what is kept of the print of a hand; undefined keeps nothing.
 * @param ties  passages to finger alike wherever they come back.
 * @param memory what earlier searches found.
 */
export function fingerHands(
  hands: readonly WrittenHand[],
  weights: Weights,
  keep: (hand: WrittenHand) => Keep | undefined,
  ties: readonly Tie[] = [],
  memory = new SolutionMemory(),
): HandsFingered {
  const line = (name: "right" | "left"): FingeringLine | undefined => {
    const hand = hands.find((candidate) => candidate.hand === name);
    const kept = hand && keep(hand);
    return hand && (kept ? { ...searchLine(hand.line), locks: locksOf(hand, kept) } : searchLine(hand.line));
  };
  const lines = { right: line("right"), left: line("left") };
  if (ties.length === 0) {
    const found = memory.solveBoth(lines, weights);
    return { solutions: hands.map(({ hand }) => found[hand]!), totalMilli: costOf(found), gapMilli: 0 };
  }
  const tied = solveTied(lines, ties, weights, memory);
  return {
    solutions: hands.map(({ hand }) => tied[hand]!),
    totalMilli: tied.totalMilli,
    get gapMilli() {
      return tied.totalMilli - tied.freeMilli;
    },
  };
}
