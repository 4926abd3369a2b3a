import { costOf, cutOut, type HandLinesToSolve, timesAround } from "../../fingering/bothHands.ts";
import { solveBoth } from "../../fingering/jumps.ts";
import type { FingeringLine, Solution } from "../../fingering/model.ts";
import { locksOf, searchLine, type WrittenHand } from "../../fingering/written.ts";
import type { RuleInput } from "../define.ts";
import { type EventRange, tellingMilli } from "./solveAround.ts";

/** Events on each side that are weighed with a range. */
const contextEvents = 8;

/**
 * True when a range of events is easier by so much, in thousandths, as a solution has it for both hands together, repeats included: the
 * eyes serve one place at a time, and what one hand gains the other may lose.
 */
export function isEasierForBoth(
  input: RuleInput,
  hand: WrittenHand,
  range: EventRange,
  solution: Solution,
  byMilli = tellingMilli,
): boolean {
  const line = printedLine(hand);
  const { from, to } = timesAround(line, range.first, range.last, contextEvents);
  const other = input.hands.find((candidate) => candidate !== hand);
  const costWith = (own: FingeringLine): number => {
    const lines: HandLinesToSolve = {
      [hand.hand]: cutOut(own, from, to)?.line,
      ...(other ? { [other.hand]: cutOut(printedLine(other), from, to)?.line } : {}),
    };
    const find = (): number => costOf(solveBoth(lines, input.weights));
    const sought = [lines.right, lines.left].filter((part) => part !== undefined);
    return input.solutions?.cost(sought, input.weights, find) ?? find();
  };
  return costWith(decided(line, range, solution)) + byMilli <= costWith(line);
}

const known = new WeakMap<WrittenHand, FingeringLine>();

function printedLine(hand: WrittenHand): FingeringLine {
  let line = known.get(hand);
  if (!line) {
    line = { ...searchLine(hand.line), locks: locksOf(hand) };
    known.set(hand, line);
  }
  return line;
}

/** The line with the fingers and placings of a solution in a range, and the printed ones around it. */
function decided(line: FingeringLine, range: EventRange, solution: Solution): FingeringLine {
  const { fingers, placings, joined } = line.locks!;
  const isInside = ({ first, last }: EventRange): boolean => first >= range.first && last <= range.last;
  const isAround = ({ first, last }: EventRange): boolean => last <= range.first || first >= range.last;
  return {
    ...line,
    locks: {
      fingers: fingers.map((row, event) =>
        event < range.first || event > range.last
          ? row
          : row?.map((finger, i) => (finger === undefined ? undefined : solution.fingers[event]![i])),
      ),
      placings: [
        ...placings.filter((placing) => isAround(placing) && placing.first < placing.last),
        ...solution.placings.filter((placing) => isInside(placing) && placing.first < placing.last),
      ]
        .map(({ first, last }) => ({ first, last }))
        .sort((a, b) => a.first - b.first || a.last - b.last),
      joined: joined?.map((each, event) =>
        event >= range.first - 1 && event <= range.last ? undefined : each,
      ),
    },
  };
}
