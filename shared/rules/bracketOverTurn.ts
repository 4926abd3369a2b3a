import { directionOf, type WrittenHand } from "../fingering/written.ts";
import { defineRule, type Severity } from "./define.ts";
import { bracketShape, bracketWords, isLikelyForeign, regroupEdits } from "./support/bracketShape.ts";
import { eventName } from "./support/places.ts";
import { type BracketPlacing, printedBrackets } from "./support/printedBrackets.ts";
import { hasSpecialSound, notesOf } from "./support/printedPlacings.ts";

const split = { title: "Split the bracket where the line turns", safety: "ask" } as const;

export const bracketOverTurn = defineRule({
  id: "bracket-over-turn",
  severity: "warning",
  summary: "A bracket goes on where the line turns back.",
  why: "A placing goes one way: its fingers are set in the order of the strings and released one after the other. Where the line turns a new placing starts, and the turning note belongs to both.",
  bad: "(F4:2 A4:1 G4:2)",
  good: "(F4:2 (A4:1) G4:2)",
  fixes: [split],
  check(input, report) {
    for (const hand of input.hands) {
      for (const bracket of printedBrackets(input, hand)) {
        // Most go one way.
        if (directionOf(hand.line, bracket.first, bracket.last)) continue;
        const { turnAt } = bracketShape(hand, bracket);
        if (turnAt === undefined) continue;
        const severity = severityOf(hand, bracket);
        if (!severity) continue;
        report({
          span: bracket.bracket.start.span,
          severity: isLikelyForeign(input, hand, bracket) ? "info" : severity,
          message: `The bracket ${bracketWords(hand, bracket)} goes over the turn at ${eventName(hand, turnAt)}; a placing goes one way.`,
          at: { hand, event: bracket.first },
          fixes: [{ ...split, edits: () => regroupEdits(input, hand, bracket)?.() ?? [] }],
        });
      }
    }
  },
});

/**
 * A hand may keep up to four fingers over as many strings and play them to and fro, as in a broken-chord
 * accompaniment: such a shape is left alone, and only mentioned where it turns once or no string comes back.
 */
function severityOf(hand: WrittenHand, bracket: BracketPlacing): Severity | undefined {
  const notes = notesOf(hand, bracket.first, bracket.last);
  if (hasSpecialSound(notes)) return undefined;
  const { strings, returns, turns } = bracketShape(hand, bracket);
  if (strings > 4) return "warning";
  const fingerOf = new Map<number, number>();
  for (const { entry, finger } of notes) {
    if (finger === undefined) continue;
    if ((fingerOf.get(entry.string) ?? finger) !== finger) return "warning";
    fingerOf.set(entry.string, finger);
  }
  const fingers = [...fingerOf].sort(([a], [b]) => a - b).map(([, finger]) => finger);
  if (fingers.some((finger, i) => i > 0 && finger >= fingers[i - 1]!)) return "warning";
  if (fingerOf.size === strings) return returns && turns > 1 ? undefined : "info";
  return returns && bracket.last - bracket.first >= 3 ? "info" : "warning";
}
