import type { Solution } from "./model.ts";
import { solve } from "./solve.ts";
import type { Weights } from "./weights.ts";
import { type Keep, keepAll, locksOf, searchLine, type WrittenHand } from "./written.ts";

/** The best fingering of a hand that keeps what is printed, as far as `keep` says so. */
export function refinger(written: WrittenHand, weights: Weights, keep: Keep = keepAll): Solution {
  return solve({ ...searchLine(written.line), locks: locksOf(written, keep) }, weights);
}
