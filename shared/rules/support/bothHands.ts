import { timesAround } from "../../fingering/bothHands.ts";
import type { FingeringLine, Solution } from "../../fingering/model.ts";
import type { WrittenHand } from "../../fingering/written.ts";
import type { RuleInput } from "../define.ts";
import { costWithOtherHand, type PartOfLine, printedLine, printedPart } from "./printedLine.ts";
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
  const { from, to } = timesAround(printedLine(hand), range.first, range.last, contextEvents);
  const part = printedPart(hand, from, to)!;
  const otherHand = input.hands.find((candidate) => candidate !== hand);
  const other = otherHand && printedPart(otherHand, from, to)?.line;
  const cost = (own: FingeringLine): number => costWithOtherHand(input, own, other);
  return cost(decided(part, range, solution)) + byMilli <= cost(part.line);
}

/** The part of a line with the fingers and placings of a solution in a range, and the printed ones around it. */
function decided({ line, offset }: PartOfLine, range: EventRange, solution: Solution): FingeringLine {
  const { fingers, placings, joined } = line.locks;
  const [start, end] = [range.first - offset, range.last - offset];
  const isInside = ({ first, last }: EventRange): boolean => first >= range.first && last <= range.last;
  const isAround = ({ first, last }: EventRange): boolean => last <= start || first >= end;
  return {
    ...line,
    locks: {
      fingers: fingers.map((row, event) =>
        event < start || event > end
          ? row
          : row?.map((finger, i) =>
              finger === undefined ? undefined : solution.fingers[offset + event]![i],
            ),
      ),
      placings: [
        ...placings.filter((placing) => isAround(placing) && placing.first < placing.last),
        ...solution.placings
          .filter((placing) => isInside(placing) && placing.first < placing.last)
          .map(({ first, last }) => ({ first: first - offset, last: last - offset })),
      ].sort((a, b) => a.first - b.first || a.last - b.last),
      joined: joined?.map((each, event) => (event >= start - 1 && event <= end ? undefined : each)),
    },
  };
}
