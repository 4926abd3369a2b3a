import type { Solution } from "../../fingering/model.ts";
import type { WrittenHand } from "../../fingering/written.ts";
import type { Edit } from "../../text/edits.ts";
import type { RuleInput } from "../define.ts";
import { bracketEdits, digitEdits, fingersIn } from "./fixes.ts";
import { type BracketPlacing, bracketsTouching } from "./printedBrackets.ts";
import {
  type Decisions,
  type EventRange,
  type FingeredNote,
  type NotePosition,
  solveAround,
} from "./solveAround.ts";

/** A stretch of a hand that is fingered and placed anew, and what stays of the print around it. */
export interface Stretch extends EventRange {
  /** What a search keeps. */
  readonly decisions: Decisions;
  /** Brackets are printed in it. */
  readonly bracketed: boolean;
}

/**
 * The stretch that is free to change with a range of events: with the brackets that reach into it taken in whole. A
 * turning note that it shares with a bracket outside keeps its finger.
 *
 * @param fixed fingers that notes have to take.
 */
export function freeStretch(
  input: RuleInput,
  hand: WrittenHand,
  range: EventRange,
  fixed: readonly FingeredNote[] = [],
): Stretch {
  const inside = bracketsTouching(input, hand, range.first, range.last).filter((bracket) =>
    reachesInto(bracket, range),
  );
  const first = Math.min(range.first, ...inside.map((bracket) => bracket.first));
  const last = Math.max(range.last, ...inside.map((bracket) => bracket.last));
  const isFree = (placing: EventRange): boolean => placing.first >= first && placing.last <= last;
  const kept = bracketsTouching(input, hand, first, last).filter((bracket) => !isFree(bracket));
  const isKept = (event: number): boolean =>
    event < first || event > last || kept.some((bracket) => bracket.first <= event && event <= bracket.last);
  return {
    first,
    last,
    decisions: {
      fingers: isKept,
      placings: (placing) => !isFree(placing),
      fixed,
      kept: (from) => `around ${first - from},${last - from}`,
    },
    bracketed: inside.length > 0,
  };
}

/** The best fingering of a stretch within its printed surroundings. */
export function solvedAnew(input: RuleInput, hand: WrittenHand, stretch: Stretch): Solution {
  return solveAround(input, hand, stretch, stretch.decisions);
}

/** The edits that print a solution over a stretch: notes without a digit get none, and brackets only where some are. */
export function anewEdits(input: RuleInput, hand: WrittenHand, solution: Solution, stretch: Stretch): Edit[] {
  if (stretch.bracketed) return bracketEdits(input, hand, solution, stretch);
  return digitEdits(input, hand, fingersIn(solution, fingeredNotes(hand, stretch)));
}

/** The notes of a range that have a finger in print. */
export function fingeredNotes(hand: WrittenHand, { first, last }: EventRange): NotePosition[] {
  const notes: NotePosition[] = [];
  for (let event = first; event <= last; event += 1) {
    hand.fingers[event]!.forEach((finger, stringAt) => {
      if (finger !== undefined) notes.push({ event, stringAt });
    });
  }
  return notes;
}

/** They share more than a turning note. */
function reachesInto(bracket: BracketPlacing, { first, last }: EventRange): boolean {
  if (first === last || bracket.first === bracket.last) return bracket.first <= last && bracket.last >= first;
  return bracket.first < last && bracket.last > first;
}
