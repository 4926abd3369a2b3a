import { solveBoth } from "./jumps.ts";
import type { Solution } from "./model.ts";
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
  const found = solveBoth(
    { right: lines.find((line) => line.hand === "right"), left: lines.find((line) => line.hand === "left") },
    weights,
  );
  return lines.map((line) => found[line.hand]!);
}
