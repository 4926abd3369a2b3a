import type { Finger } from "../fingering/model.ts";
import { pairKey, type Weights } from "../fingering/weights.ts";
import type { WrittenHand } from "../fingering/written.ts";
import { defineRule, type RuleInput } from "./define.ts";
import { digitEdits } from "./support/fixes.ts";
import { intervalWords, nameOf, placeOfNote } from "./support/places.ts";
import {
  hasSpecialSound,
  type PlacedNote,
  type PrintedPlacing,
  printedPlacings,
  staysInOrder,
} from "./support/printedPlacings.ts";
import { wideReach } from "./support/reach.ts";
import { allPrinted, solveAround, tellingMilli } from "./support/solveAround.ts";

const usual = { title: "Use the usual fingers for this interval", safety: "ask" } as const;

export const unusualIntervalFingers = defineRule({
  id: "unusual-interval-fingers",
  severity: "info",
  summary:
    "Two notes have other fingers than is usual for their interval, and nothing around them asks for it.",
  why: "Seconds to fourths lie best under 2 and 1, fifths and sixths under 3 and 1, sevenths and wider under 4 and 1.",
  bad: "C4:3+E4:1 r D4:2+F4:1",
  good: "C4:2+E4:1 r D4:2+F4:1",
  fixes: [usual],
  check(input, report) {
    for (const hand of input.hands) {
      for (const placing of printedPlacings(input, hand)) {
        const found = easierPair(input, hand, placing);
        if (!found) continue;
        const { low, high, fingers } = found;
        const steps = high.entry.string - low.entry.string;
        report({
          span: placeOfNote(low.entry),
          message: `${nameOf(low.entry)} and ${nameOf(high.entry)}, ${intervalWords(steps)}, have fingers ${low.finger} and ${high.finger}; ${fingers[0]} and ${fingers[1]} are usual and as easy here.`,
          at: { hand, event: placing.first },
          related: [
            { span: placeOfNote(high.entry), message: `${nameOf(high.entry)} has finger ${high.finger}.` },
          ],
          fixes: [
            {
              ...usual,
              edits: () =>
                digitEdits(
                  input,
                  hand,
                  [low, high].map((note, i) => ({ ...note, finger: fingers[i]! })),
                ),
            },
          ],
        });
      }
    }
  },
});

interface EasierPair {
  readonly low: PlacedNote;
  readonly high: PlacedNote;
  /** The usual fingers, lower string first. */
  readonly fingers: readonly [Finger, Finger];
}

/** The usual fingers of two notes that have others, thumb on top, if the whole line is easier with them. */
function easierPair(input: RuleInput, hand: WrittenHand, placing: PrintedPlacing): EasierPair | undefined {
  const [low, high] = placing.notes;
  if (!low || !high || placing.notes.length > 2) return undefined;
  if (high.finger !== 1 || low.finger === undefined || low.finger === 1) return undefined;
  const lower = usualLowerFinger(input.weights, high.entry.string - low.entry.string);
  if (lower === undefined || lower === low.finger) return undefined;
  if (hasSpecialSound(placing.notes) || wideReach(placing, input.weights)) return undefined;
  // A turning note shared with another bracket has the finger that fits there too.
  if (!staysInOrder(input, hand, [low], [lower])) return undefined;
  const printed = solveAround(input, hand, placing, allPrinted).totalMilli;
  const fixed = [{ event: low.event, stringAt: low.stringAt, finger: lower }];
  const changed = solveAround(input, hand, placing, { ...allPrinted, fixed }).totalMilli;
  return changed + tellingMilli <= printed ? { low, high, fingers: [lower, 1] } : undefined;
}

/** The finger that stretches least from the thumb over these steps. */
function usualLowerFinger(weights: Weights, steps: number): Finger | undefined {
  let best: Finger | undefined;
  let least = Number.POSITIVE_INFINITY;
  for (const finger of [2, 3, 4] as const) {
    const stretch = weights.stretch[pairKey(1, finger)]?.[steps];
    if (stretch === undefined) continue;
    const milli = stretch + (finger === 4 ? weights.weakFinger : 0);
    if (milli < least) {
      best = finger;
      least = milli;
    }
  }
  return best;
}
