import type { Passages } from "../passages/model.ts";
import { passagesOfHands } from "../passages/passagesOfHands.ts";
import type { Analysis } from "./analyse.ts";

/** What comes back in a score. Sought once for each reading of it. */
export function passagesOf({ hands, score }: Analysis): Passages {
  return passagesOfHands(hands, score);
}
