import type { Solution } from "../fingering/model.ts";
import type { WrittenHand } from "../fingering/written.ts";
import { defineRule, type Fix, type RuleInput } from "./define.ts";
import { freeStretch } from "./support/anew.ts";
import { isSound } from "./support/bracketShape.ts";
import { bracketEdits } from "./support/fixes.ts";
import { nameOf, startTagOf } from "./support/places.ts";
import { type BracketPlacing, printedBrackets } from "./support/printedBrackets.ts";
import { isMuffledBetween, type Plucked, ringingStrings } from "./support/ringing.ts";
import { solveAround } from "./support/solveAround.ts";
import { isForTwoHarps, secondsWords } from "./support/timing.ts";

const later = { title: "Place that string with a new bracket", safety: "ask" } as const;

/**
 * Lost sound is missed when it is so much and such a share of the note, or long by itself: a little less just before
 * the string sounds anew is not. Estimates, no source.
 */
const missed = { micros: 300_000, share: 1 / 3, longMicros: 800_000 };

export const noteMuffledEarly = defineRule({
  id: "note-muffled-early",
  severity: "warning",
  summary: "A placing touches a string whose note is written to sound on.",
  why: "A finger that is set on a ringing string stops it. What is to ring needs its string placed later, by a bracket that begins after it, or is written shorter.",
  bad: "R: @60 C5/2!ring r/2 // R: r/2 (E4/0.5:4 G4/0.5:3 B4/0.5:2 C5/0.5:1)",
  good: "R: @60 C5/2 r/2 // R: r/2 (E4/0.5:4 G4/0.5:3 B4/0.5:2 C5/0.5:1)",
  fixes: [later],
  check(input, report) {
    if (isForTwoHarps(input.harp)) return;
    for (const hand of input.hands) {
      const { events } = hand.line;
      for (const bracket of printedBrackets(input, hand)) {
        const placedAt = events[bracket.first]!.atMicros;
        for (let event = bracket.first + 1; event <= bracket.last; event += 1) {
          const pluckedAt = events[event]!.atMicros;
          // No more than this is lost.
          if (pluckedAt - placedAt < missed.micros) continue;
          for (const { string } of events[event]!.notes) {
            const before = ringingStrings(input).lastBefore(string, placedAt);
            if (!before) continue;
            const until = ringingStrings(input).until(before);
            if (!isCutShort(before, until, placedAt, pluckedAt)) continue;
            if (isMuffledBetween(input, before.from, placedAt)) continue;
            report({
              span: startTagOf(before.entry.note),
              message: messageOf(input, hand, bracket, before, until, Math.min(until, pluckedAt) - placedAt),
              at: before,
              related: [{ span: bracket.bracket.start.span, message: "This bracket places its string." }],
              fixes: laterFix(input, hand, bracket, event),
            });
          }
        }
      }
    }
  },
});

/** The written sound is lost; not where the string is plucked again before that, so that the length is a habit. */
function isCutShort({ from, entry }: Plucked, until: number, placedAt: number, pluckedAt: number): boolean {
  if (entry.note.marks.staccato || entry.note.marks.harmonic) return false;
  if (until !== Number.POSITIVE_INFINITY && pluckedAt < until) return false;
  const end = Math.min(until, pluckedAt);
  const lost = end - placedAt;
  return lost >= missed.longMicros || (lost >= missed.micros && lost >= missed.share * (end - from));
}

function messageOf(
  input: RuleInput,
  hand: WrittenHand,
  { first }: BracketPlacing,
  { entry }: Plucked,
  until: number,
  lost: number,
): string {
  const { note } = hand.line.events[first]!.notes[0]!;
  const asked = until === Number.POSITIVE_INFINITY ? "is to ring on" : "is written to sound on";
  return `${nameOf(entry)} ${asked}, but the ${hand.hand} hand's bracket of bar ${note.measure.number} sets a finger on its string ${secondsWords(input, lost)} before its end.`;
}

/** The bracket in two, the second from this event on, where fingers do for that. */
function laterFix(input: RuleInput, hand: WrittenHand, bracket: BracketPlacing, event: number): Fix[] {
  const stretch = freeStretch(input, hand, bracket);
  if (stretch.first !== bracket.first || stretch.last !== bracket.last) return [];
  const placed = [
    { first: bracket.first, last: event - 1 },
    { first: event, last: bracket.last },
  ];
  const solution = solveAround(input, hand, bracket, { ...stretch.decisions, placed });
  const isSplit = placed.every(({ first, last }) =>
    solution.placings.some((placing) => placing.first === first && placing.last === last),
  );
  if (!isSplit || !isSound(solution) || crossesOver(hand, solution, event)) return [];
  return [{ ...later, edits: () => bracketEdits(input, hand, solution, bracket) }];
}

/** The new bracket would be reached by a finger that passes under the thumb, or by the thumb, over more than a string. */
function crossesOver({ line }: WrittenHand, { fingers }: Solution, event: number): boolean {
  const [a, b] = [line.events[event - 1]!.notes, line.events[event]!.notes];
  if (a.length > 1 || b.length > 1) return false;
  const steps = b[0]!.string - a[0]!.string;
  const [from, to] = [fingers[event - 1]![0]!, fingers[event]![0]!];
  return Math.abs(steps) > 1 && (steps > 0 ? to >= from : to <= from);
}
