import { findPassages } from "../passages/findPassages.ts";
import type { Passages } from "../passages/model.ts";
import type { Analysis } from "./analyse.ts";

/** Answers for one reading of a score, kept as long as that is. */
const known = new WeakMap<Analysis, Passages>();

/** What comes back in a score. Sought once. */
export function passagesOf(analysis: Analysis): Passages {
  let passages = known.get(analysis);
  if (!passages) {
    const lines = analysis.hands.map((hand) => hand.line);
    passages = findPassages(lines, analysis.score);
    known.set(analysis, passages);
  }
  return passages;
}
