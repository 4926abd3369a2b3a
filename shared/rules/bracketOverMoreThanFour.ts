import { printedSlide, type WrittenHand } from "../fingering/written.ts";
import { defineRule } from "./define.ts";
import { bracketShape, bracketWords, isLikelyForeign, regroupEdits } from "./support/bracketShape.ts";
import { numberWord } from "./support/places.ts";
import { printedBrackets } from "./support/printedBrackets.ts";
import type { EventRange } from "./support/solveAround.ts";

const split = { title: "Split into placings", safety: "ask" } as const;

export const bracketOverMoreThanFour = defineRule({
  id: "bracket-over-more-than-four",
  severity: "error",
  summary: "A bracket is over more than four notes that go one way.",
  why: "A placing has at most four notes, one for each finger. A longer run is crossed: the next group is set under the thumb, or the thumb over, while the last note of the group before sounds.",
  bad: "(C4:3 D4:2 E4:1 F4:3 G4:2 A4:1)",
  good: "(C4:3 D4:2 (E4:1) F4:3 G4:2 A4:1)",
  fixes: [split],
  check(input, report) {
    for (const hand of input.hands) {
      for (const bracket of printedBrackets(input, hand)) {
        if (countNotes(hand, bracket) <= 4) continue;
        const { strings, turnAt } = bracketShape(hand, bracket);
        if (turnAt !== undefined || strings <= 4 + slides(hand, bracket)) continue;
        report({
          span: bracket.bracket.start.span,
          severity: isLikelyForeign(input, hand, bracket) ? "info" : "error",
          message: `The bracket ${bracketWords(hand, bracket)} is over ${numberWord(strings)} notes; a placing has at most four.`,
          at: { hand, event: bracket.first },
          fixes: [{ ...split, edits: () => regroupEdits(input, hand, bracket)?.() ?? [] }],
        });
      }
    }
  },
});

function countNotes({ line }: WrittenHand, { first, last }: EventRange): number {
  let count = 0;
  for (let event = first; event <= last; event += 1) count += line.events[event]!.notes.length;
  return count;
}

/** Each slide gives a placing one more note. */
function slides(hand: WrittenHand, { first, last }: EventRange): number {
  let count = 0;
  for (let event = first; event < last; event += 1) {
    const isMarked = hand.line.events[event]!.notes.some(({ note }) => note.marks.slideStart);
    if (isMarked || printedSlide(hand.line, event) !== undefined) count += 1;
  }
  return count;
}
