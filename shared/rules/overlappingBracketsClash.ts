import { isOnePlacing, type WrittenHand } from "../fingering/written.ts";
import { removeBracketEnd } from "../musicxml/bracketEdits.ts";
import { defineRule, type Fix, type RuleInput } from "./define.ts";
import { bracketWords, regroupedRange } from "./support/bracketShape.ts";
import { eventName } from "./support/places.ts";
import { type BracketPlacing, printedBrackets } from "./support/printedBrackets.ts";

const align = { title: "Place these notes under brackets that fit together", safety: "ask" } as const;
const removeOne = { title: "Remove the second bracket", safety: "ask" } as const;

export const overlappingBracketsClash = defineRule({
  id: "overlapping-brackets-clash",
  severity: "warning",
  summary: "Two brackets share more than one note, or one on which their fingers do not fit together.",
  why: "Placings meet on one note: where the line turns it ends one and begins the next, and where the line goes on the fingers cross there. Brackets that share more tell the hand two things at once.",
  bad: "(C4:4 D4:3 (E4:2) F4:1)",
  good: "(C4:4 D4:3 E4:2 F4:1)",
  fixes: [align, removeOne],
  check(input, report) {
    for (const hand of input.hands) {
      const brackets = printedBrackets(input, hand);
      for (let i = 1; i < brackets.length; i += 1) {
        const clash = clashOf(hand, brackets[i - 1]!, brackets[i]!);
        if (!clash) continue;
        const [a, b] = [brackets[i - 1]!, brackets[i]!];
        report({
          span: b.bracket.start.span,
          message: `${clash.words}.`,
          at: { hand, event: b.bracket.first },
          over: { first: a.first, last: Math.max(a.last, b.last) },
          related: [{ span: a.bracket.start.span, message: `The bracket ${bracketWords(hand, a.bracket)}.` }],
          fixes: clash.same ? removal(input, b) : alignment(input, hand, a, b),
        });
      }
    }
  },
});

interface Clash {
  readonly words: string;
  /** Both are over the same notes. */
  readonly same?: true;
}

/** Brackets that are no placings by themselves have their own rules. */
function clashOf(hand: WrittenHand, a: BracketPlacing, b: BracketPlacing): Clash | undefined {
  const isSame = a.first === b.first && a.last === b.last;
  const sharesMore = b.first < a.last && b.last > a.first;
  const meets = a.last === b.bracket.first && b.bracket.first !== b.first;
  if (!isSame && !sharesMore && !meets) return undefined;
  const [before, after] = [bracketWords(hand, a.bracket), bracketWords(hand, b.bracket)];
  if (isSame) return { words: `Two brackets go ${before}`, same: true };
  if (!isOnePlacing(hand.line, a) || !isOnePlacing(hand.line, b)) return undefined;
  if (sharesMore) {
    const inside = b.last <= a.last;
    return {
      words: inside
        ? `The bracket ${after} lies within the one ${before}`
        : `The brackets ${before} and ${after} share more than one note`,
    };
  }
  // Drawn from the last note of the group before: only a crossing is shown so.
  const [pivot, next] = [hand.fingers[a.last]![0], hand.fingers[b.first]![0]];
  if (pivot === undefined || next === undefined || pivot === next) return undefined;
  const rises = hand.line.events[b.first]!.notes[0]!.string > hand.line.events[a.last]!.notes[0]!.string;
  if (rises ? pivot === 1 : next === 1) return undefined;
  return {
    words: `The brackets ${before} and ${after} meet on ${eventName(hand, a.last)} (${pivot}), but the fingers do not cross to ${eventName(hand, b.first)} (${next})`,
  };
}

function removal({ text }: RuleInput, { bracket: { start, stop } }: BracketPlacing): Fix[] {
  return [{ ...removeOne, edits: () => [start, stop].map((end) => removeBracketEnd(text, end.removal)) }];
}

function alignment(input: RuleInput, hand: WrittenHand, a: BracketPlacing, b: BracketPlacing): Fix[] {
  const range = {
    first: Math.min(a.first, b.first),
    last: Math.max(a.last, b.last),
  };
  const edits = regroupedRange(input, hand, range);
  return edits ? [{ ...align, edits }] : [];
}
