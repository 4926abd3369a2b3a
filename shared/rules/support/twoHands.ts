import type { Finger } from "../../fingering/model.ts";
import type { WrittenHand } from "../../fingering/written.ts";
import { compare } from "../../score/rational.ts";
import { firstWhere } from "../../text/firstWhere.ts";
import type { RuleInput } from "../define.ts";

/** True when the other hand plucks nothing at the instant of this event. */
export function isOtherHandFree(input: RuleInput, hand: WrittenHand, event: number): boolean {
  const { onset } = hand.line.events[event]!;
  return !input.hands.some((other) => {
    if (other === hand) return false;
    const { events } = other.line;
    const at = firstWhere(events.length, (i) => compare(events[i]!.onset, onset) >= 0);
    return at < events.length && compare(events[at]!.onset, onset) === 0;
  });
}

/**
 * True when the fingers of a chord, from the lowest string up, fall into two complete hands, each with its thumb on
 * top: 2 1 2 1, or 3 2 1 2 1. The print has then shared a chord on one staff between the hands.
 */
export function isFingeredForTwoHands(fingers: readonly (Finger | undefined)[]): boolean {
  const split = fingers.indexOf(1) + 1;
  // With up to four notes a single note below or above is more likely a slip.
  const least = fingers.length > 4 ? 1 : 2;
  return isWholeHand(fingers.slice(0, split), least) && isWholeHand(fingers.slice(split), least);
}

function isWholeHand(fingers: readonly (Finger | undefined)[], least: number): boolean {
  if (fingers.length < least || fingers[fingers.length - 1] !== 1) return false;
  return fingers.every((finger, i) => finger !== undefined && (i === 0 || finger < fingers[i - 1]!));
}
