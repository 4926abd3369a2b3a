import type { WrittenHand } from "../fingering/written.ts";
import type { Score } from "../score/model.ts";
import { findPassages } from "./findPassages.ts";
import type { Passages } from "./model.ts";
import type { PassageMemory } from "./passageMemory.ts";

/** Answers for one reading of a score, kept as long as that is. */
const known = new WeakMap<readonly WrittenHand[], Passages>();

const memories = new WeakMap<readonly WrittenHand[], PassageMemory>();

/** What comes back in the score of these hands is looked for in a memory first. */
export function usePassageMemory(hands: readonly WrittenHand[], memory: PassageMemory): void {
  memories.set(hands, memory);
}

/** What comes back in a score, by the list of its hands. Sought once for each list. */
export function passagesOfHands(hands: readonly WrittenHand[], score: Score): Passages {
  let passages = known.get(hands);
  if (!passages) {
    const lines = hands.map(({ line }) => line);
    const find = (): Passages => findPassages(lines, score);
    const memory = memories.get(hands);
    passages = memory ? memory.passages(lines, score, find) : find();
    known.set(hands, passages);
  }
  return passages;
}
