import type { WrittenHand } from "../fingering/written.ts";
import { defineRule, type RuleInput } from "./define.ts";
import { nameOf, placeOfNote } from "./support/places.ts";
import { printedPlacings } from "./support/printedPlacings.ts";
import { isMuffledBetween, ringingStrings } from "./support/ringing.ts";
import { isForTwoHarps, isOutOfTime, secondsWords } from "./support/timing.ts";

/**
 * Below C3 a string swings widely for this long after it is plucked. Common practice, no source, for the register; the
 * time is an estimate.
 */
const swinging = { belowString: 21, micros: 400_000 };

/** Damped playing stops the string anyway; some players and pieces want the noise. */
const meant = /[eé]touff|\bdamp|\bd[aä]mpf|buzz|bisbigli|\bsons [eé]|xylo|sec\b|secco/i;

export const buzzRisk = defineRule({
  id: "buzz-risk",
  severity: "info",
  summary: "A finger is set on a low string that was plucked just before and still swings widely.",
  why: "A low string swings far and long. A finger that touches it late or lightly makes it buzz; other fingers or another joint may leave it more time.",
  bad: "L: @120 C2/0.5:4 C2/0.5:4 r/3",
  good: "L: @120 C2/0.5:4 C3/0.5:1 r/3",
  fixes: [],
  check(input, report) {
    if (isForTwoHarps(input.harp)) return;
    for (const hand of input.hands) {
      for (const { first, last } of placed(input, hand)) {
        const placedAt = hand.line.events[first]!.atMicros;
        for (let event = first; event <= last; event += 1) {
          for (const entry of hand.line.events[event]!.notes) {
            if (entry.string >= swinging.belowString) continue;
            const before = ringingStrings(input).lastBefore(entry.string, placedAt);
            if (!before || placedAt - before.from >= swinging.micros) continue;
            // The turning note that two brackets share is not placed anew.
            if (before.hand === hand && before.event === first) continue;
            if (
              isOutOfTime(hand, event) ||
              isOutOfTime(before.hand, before.event) ||
              before.entry.note.marks.staccato
            )
              continue;
            if (isMuffledBetween(input, before.from, placedAt) || isMeant(input, entry.note)) continue;
            report({
              span: placeOfNote(entry),
              message: `The ${hand.hand} hand sets a finger on ${nameOf(entry)} ${secondsWords(input, placedAt - before.from)} after it was plucked; so low a string still swings widely and may buzz.`,
              at: { hand, event },
              related: [{ span: placeOfNote(before.entry), message: "It was plucked here." }],
            });
          }
        }
      }
    }
  },
});

/** What the hand sets its fingers for: brackets, chords, and notes that stand alone. */
function placed(input: RuleInput, hand: WrittenHand): { first: number; last: number }[] {
  const placings = printedPlacings(input, hand);
  const covered: boolean[] = [];
  for (const { first, last } of placings)
    for (let event = first; event <= last; event += 1) covered[event] = true;
  const found: { first: number; last: number }[] = [...placings];
  for (let event = 0; event < hand.line.events.length; event += 1) {
    if (!covered[event]) found.push({ first: event, last: event });
  }
  return found;
}

function isMeant(
  { harp, text }: RuleInput,
  note: { readonly measure: { readonly index: number; readonly span: { start: number; end: number } } },
): boolean {
  const { index, span } = note.measure;
  const isSaid = harp.parts.some(({ words }) =>
    words.some(
      ({ text: said, measure }) =>
        Math.abs(measure.index - index) <= 4 && measure.index <= index && meant.test(said),
    ),
  );
  // Very soft, a string hardly swings; very loud, the noise is part of it.
  return isSaid || /<dynamics\b[^>]*>\s*<(pp+|ff+)\b/.test(text.slice(span.start, span.end));
}
