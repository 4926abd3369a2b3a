import { costOf, cutOut, type HandLinesToSolve } from "../../fingering/bothHands.ts";
import { solveBoth } from "../../fingering/jumps.ts";
import type { FingeringLine, Locks } from "../../fingering/model.ts";
import { locksOf, searchLine, type WrittenHand } from "../../fingering/written.ts";
import type { RuleInput } from "../define.ts";

/** A hand as searches take it, with all that is printed as decisions. */
export type PrintedLine = FingeringLine & { readonly locks: Locks };

/** A part of a hand's printed line. Its first event is the hand's event `offset`. */
export interface PartOfLine {
  readonly line: PrintedLine;
  readonly offset: number;
}

const known = new WeakMap<WrittenHand, PrintedLine>();

/** Worked out once for a hand. */
export function printedLine(hand: WrittenHand): PrintedLine {
  let line = known.get(hand);
  if (!line) {
    line = { ...searchLine(hand.line), locks: locksOf(hand) };
    known.set(hand, line);
  }
  return line;
}

/** The part that sounds between two times, both included; undefined when nothing does. */
export function printedPart(hand: WrittenHand, from: number, to: number): PartOfLine | undefined {
  return cutOut(printedLine(hand), from, to) as PartOfLine | undefined;
}

/** What a part of one hand's line costs with the other hand's print at the same time, in thousandths, repeats included. */
export function costWithOtherHand(
  input: RuleInput,
  own: FingeringLine | undefined,
  other: FingeringLine | undefined,
): number {
  const sought = [own, other].filter((line) => line !== undefined);
  const lines: HandLinesToSolve = Object.fromEntries(sought.map((line) => [line.hand, line]));
  const find = (): number => costOf(solveBoth(lines, input.weights));
  const inOrder = [lines.right, lines.left].filter((line) => line !== undefined);
  return input.solutions?.cost(inOrder, input.weights, find) ?? find();
}
