import type { WrittenHand } from "../fingering/written.ts";
import type { Score } from "../score/model.ts";
import { findPassages } from "./findPassages.ts";
import type { Passages } from "./model.ts";

/** Answers for one reading of a score, kept as long as that is. */
const known = new WeakMap<readonly WrittenHand[], Passages>();

/** What comes back in a score, by the list of its hands. Sought once for each list. */
export function passagesOfHands(hands: readonly WrittenHand[], score: Score): Passages {
  let passages = known.get(hands);
  if (!passages) {
    passages = findPassages(
      hands.map(({ line }) => line),
      score,
    );
    known.set(hands, passages);
  }
  return passages;
}
