import type { Solution } from "../fingering/model.ts";
import { isOnePlacing, type WrittenHand } from "../fingering/written.ts";
import { defineRule, type RuleInput } from "./define.ts";
import { bracketWords, isSound } from "./support/bracketShape.ts";
import { bracketEdits } from "./support/fixes.ts";
import { eventName } from "./support/places.ts";
import { type BracketPlacing, printedBrackets } from "./support/printedBrackets.ts";
import { restAfter } from "./support/rests.ts";
import { allPrinted, solveAround, tellingMilli } from "./support/solveAround.ts";
import { secondsText } from "./support/times.ts";

const split = { title: "Split the bracket at the rest", safety: "ask" } as const;

export const bracketOverRest = defineRule({
  id: "bracket-over-rest",
  severity: "info",
  summary: "A bracket holds the hand on the strings through a rest that leaves time to place anew.",
  why: "In a rest the hand may come off and be placed anew without haste. Fingers that stay on the strings meanwhile stop what should ring, and grow stiff.",
  bad: "@60 (C4/1:4 D4/1:3 r/2 E4/1:2 F4/1:1) r/2",
  good: "@60 (C4/1:2 D4/1:1) r/2 (E4/1:2 F4/1:1) r/2",
  fixes: [split],
  check(input, report) {
    for (const hand of input.hands) {
      for (const bracket of printedBrackets(input, hand)) {
        const found = restUnder(hand, bracket);
        const solution = found && splitAt(input, hand, bracket, found.event);
        if (!solution) continue;
        report({
          span: bracket.bracket.start.span,
          message: `The bracket ${bracketWords(hand, bracket)} goes over a rest of ${secondsText(found.micros)} after ${eventName(hand, found.event)}: time to come off and place anew.`,
          at: { hand, event: bracket.first },
          over: { first: bracket.first, last: bracket.last },
          fixes: [{ ...split, edits: () => bracketEdits(input, hand, solution, rangeOf(bracket)) }],
        });
      }
    }
  },
});

/** The longest rest under a bracket, if it leaves time to place the hand anew. */
function restUnder(
  hand: WrittenHand,
  { first, last }: BracketPlacing,
): { event: number; micros: number } | undefined {
  let found: { event: number; micros: number } | undefined;
  for (let event = first; event < last; event += 1) {
    const micros = restAfter(hand, event);
    if (micros > (found?.micros ?? 0)) found = { event, micros };
  }
  return found && isOnePlacing(hand.line, { first, last }) ? found : undefined;
}

/** The two placings on both sides of a rest, if they are about as easy as the one over it. */
function splitAt(
  input: RuleInput,
  hand: WrittenHand,
  bracket: BracketPlacing,
  event: number,
): Solution | undefined {
  const range = rangeOf(bracket);
  const printed = solveAround(input, hand, range, allPrinted).totalMilli;
  const placed = [
    { first: range.first, last: event },
    { first: event + 1, last: range.last },
  ];
  for (const keepFingers of [true, false]) {
    const solution = solveAround(input, hand, range, {
      fingers: (at) => keepFingers || at < range.first || at > range.last,
      placings: ({ first, last }) => first !== range.first || last !== range.last,
      placed,
    });
    if (isSound(solution) && solution.totalMilli <= printed + tellingMilli) return solution;
  }
  return undefined;
}

function rangeOf({ first, last }: BracketPlacing): { first: number; last: number } {
  return { first, last };
}
