import type { Solution, TermName } from "../../fingering/model.ts";
import type { WrittenHand } from "../../fingering/written.ts";
import type { Edit } from "../../text/edits.ts";
import type { RuleInput } from "../define.ts";
import { digitEdits, fingersIn } from "./fixes.ts";
import { notesOf, type PlacedNote } from "./printedPlacings.ts";
import { allBut, allPrinted, costs, type EventRange, solveAround, tellingMilli } from "./solveAround.ts";

/** Notes with other fingers, and what the line comes to with them. */
export interface EasierFingers {
  readonly notes: readonly PlacedNote[];
  readonly solution: Solution;
}

/** Of two ways that no hand has neither is easier. */
const beyondHand: readonly TermName[] = ["tooWide", "tooFast", "tooMany"];

/** A placing has four notes, so that fingers further away than this do not depend on each other. */
const eventsEachSide = 3;

/**
 * Other fingers for the fingered notes of a range, if they make the line tellingly easier: at first for these notes
 * only, then for those around them as well. Brackets stay as they are.
 *
 * @param isMended whether a solution is without what is wrong.
 * @returns undefined when nothing is tellingly easier, or when the print cannot be played as it is for other reasons.
 */
export function easierFingers(
  input: RuleInput,
  hand: WrittenHand,
  range: EventRange,
  isMended: (solution: Solution) => boolean,
): EasierFingers | undefined {
  const wide = {
    first: Math.max(0, range.first - eventsEachSide),
    last: Math.min(hand.line.events.length - 1, range.last + eventsEachSide),
  };
  const printed = solveAround(input, hand, wide, allPrinted);
  if (costs(printed, wide, ["lock"])) return undefined;
  for (const free of [range, wide]) {
    const notes = notesOf(hand, free.first, free.last).filter(({ finger }) => finger !== undefined);
    const solution = solveAround(input, hand, wide, allBut(notes));
    const isEasier = solution.totalMilli + tellingMilli <= printed.totalMilli;
    if (!isEasier || costs(solution, wide, ["lock"]) || costs(solution, range, beyondHand)) continue;
    if (isMended(solution)) return { notes, solution };
  }
  return undefined;
}

/** The edits that print easier fingers. */
export function easierEdits(
  input: RuleInput,
  hand: WrittenHand,
  { notes, solution }: EasierFingers,
): readonly Edit[] {
  return digitEdits(input, hand, fingersIn(solution, notes));
}
