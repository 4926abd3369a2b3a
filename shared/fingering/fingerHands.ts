import type { Solution } from "./model.ts";
import { solve } from "./solve.ts";
import { solveTogether } from "./solveTogether.ts";
import type { Weights } from "./weights.ts";
import { type Keep, locksOf, searchLine, type WrittenHand } from "./written.ts";

/**
 * The best fingering of the hands of a score together.
 *
 * @param hands one or two hands; each at most once.
 * @param keep  what is kept of the print of a hand; undefined keeps nothing.
 * @returns a solution for each hand, in their order.
 */
export function fingerHands(
  hands: readonly WrittenHand[],
  weights: Weights,
  keep: (hand: WrittenHand) => Keep | undefined,
): Solution[] {
  const lines = hands.map((hand) => {
    const kept = keep(hand);
    return kept ? { ...searchLine(hand.line), locks: locksOf(hand, kept) } : searchLine(hand.line);
  });
  const right = lines.find((line) => line.hand === "right");
  const left = lines.find((line) => line.hand === "left");
  if (!right || !left) return lines.map((line) => solve(line, weights));
  const both = solveTogether(right, left, weights);
  return lines.map((line) => (line.hand === "right" ? both.right : both.left));
}
