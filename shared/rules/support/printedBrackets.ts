import type { WrittenHand, WrittenPlacing } from "../../fingering/written.ts";
import type { PrintedBracket } from "../../score/brackets.ts";
import { Ranges } from "../../text/ranges.ts";
import type { RuleInput } from "../define.ts";

/** A bracket and the events that it puts under the hand: a crossing's pivot, from which it may be drawn, is left out. */
export interface BracketPlacing {
  readonly first: number;
  readonly last: number;
  readonly bracket: PrintedBracket;
}

interface Known {
  readonly placings: readonly BracketPlacing[];
  readonly byEvent: Ranges<BracketPlacing>;
}

const known = new WeakMap<WrittenHand, Known>();

/** The brackets of a hand as placings, in order. */
export function printedBrackets(input: RuleInput, hand: WrittenHand): readonly BracketPlacing[] {
  return knownOf(input, hand).placings;
}

/** Those that hold one of these events, in order. */
export function bracketsTouching(
  input: RuleInput,
  hand: WrittenHand,
  first: number,
  last: number,
): readonly BracketPlacing[] {
  return knownOf(input, hand).byEvent.touching(first, last);
}

function knownOf(input: RuleInput, hand: WrittenHand): Known {
  let found = known.get(hand);
  if (!found) {
    const printed = new Ranges(hand.brackets.brackets);
    const placings = hand.placings.map(({ first, last, bracket, fromPivot }) =>
      fromPivot && !isCrossing(input, hand, printed, { first, last, bracket })
        ? { first: bracket.first, last, bracket }
        : { first, last, bracket },
    );
    found = { placings, byEvent: new Ranges(placings) };
    known.set(hand, found);
  }
  return found;
}

/**
 * Digits such as 1 2 upwards at the beginning of a bracket ask for a crossing. One is meant if another group ends or
 * begins there, or if the rest of the bracket is a group by itself: near enough, going on the same way, with its
 * fingers in order. Else the digits are wrong.
 */
function isCrossing(
  input: RuleInput,
  hand: WrittenHand,
  printed: Ranges<PrintedBracket>,
  { first, last, bracket }: Pick<WrittenPlacing, "first" | "last" | "bracket">,
): boolean {
  const here = printed.touching(bracket.first, bracket.first);
  if (here.some((other) => other.last === bracket.first && other.first < other.last)) return true;
  const { crossAtMostSteps } = input.weights;
  const steps = stepsBetween(hand, bracket.first, first);
  if (steps === 0 || Math.abs(steps) > crossAtMostSteps) return false;
  if (first === last)
    return printed.touching(last, last).some((other) => other.first === last && other.last > last);
  for (let event = first; event < last; event += 1) {
    if (Math.sign(stepsBetween(hand, event, event + 1)) !== Math.sign(steps)) return false;
    const [a, b] = [hand.fingers[event]!, hand.fingers[event + 1]!];
    const [lower, higher] = steps > 0 ? [a[a.length - 1], b[0]] : [b[b.length - 1], a[0]];
    if (lower !== undefined && higher !== undefined && lower <= higher) return false;
  }
  return true;
}

/** Steps from one event up to the next, negative downwards; 0 when neither lies wholly above the other. */
function stepsBetween(hand: WrittenHand, from: number, to: number): number {
  const a = hand.line.events[from]?.notes;
  const b = hand.line.events[to]?.notes;
  if (!a || !b) return 0;
  const up = b[0]!.string - a[a.length - 1]!.string;
  if (up > 0) return up;
  const down = b[b.length - 1]!.string - a[0]!.string;
  return Math.min(down, 0);
}
