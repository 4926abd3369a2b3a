import type { Finger, Solution } from "../fingering/model.ts";
import type { WrittenHand } from "../fingering/written.ts";
import type { Edit } from "../text/edits.ts";
import { defineRule, type RuleInput } from "./define.ts";
import { isEasierForBoth } from "./support/bothHands.ts";
import { bracketEdits, digitEdits, fingersIn } from "./support/fixes.ts";
import { nameOf, placeOfNote } from "./support/places.ts";
import { bracketsTouching, printedBrackets } from "./support/printedBrackets.ts";
import { notesOf, type PlacedNote, soundsSpecial } from "./support/printedPlacings.ts";
import { withoutKeptAlike } from "./support/returns.ts";
import { allOutside, allPrinted, type EventRange, solveAround, tellingMilli } from "./support/solveAround.ts";

const anew = { title: "Finger this turn anew, thumb on its top note", safety: "ask" } as const;

/** A placing has four notes, so a turn's thumb concerns this many notes on each side of it. */
const notesEachSide = 3;

export const turnWithoutThumb = defineRule({
  id: "turn-without-thumb",
  severity: "warning",
  summary: "A line goes up and comes back down without the thumb on its highest note.",
  why: "With the thumb on the turning note the fingers below it can be placed while it plays, so that the hand comes back down in one go; any other finger there costs a crossing or a new placing.",
  bad: "C4:3 D4:2 E4:1 F4:2 E4:1 D4:2 C4:3",
  good: "C4:4 D4:3 E4:2 F4:1 E4:2 D4:3 C4:4",
  fixes: [anew],
  check(input, report) {
    for (const hand of input.hands) {
      for (const { event, turn, range, better } of withoutKeptAlike(input, hand, turnsIn(input, hand))) {
        const [before, top, after] = turn;
        report({
          span: placeOfNote(top.entry),
          message: `The line turns at ${nameOf(top.entry)} with finger ${top.finger}, between ${nameOf(before.entry)} (${before.finger}) and ${nameOf(after.entry)} (${after.finger}): the thumb on the turning note would be easier.`,
          at: { hand, event },
          fixes: [{ ...anew, edits: () => editsFor(input, hand, better, range) }],
        });
      }
    }
  },
});

interface Turn {
  readonly event: number;
  readonly turn: [PlacedNote, PlacedNote, PlacedNote];
  readonly range: EventRange;
  readonly better: Solution;
}

/** The turns that are easier with the thumb, for this hand and for both. */
function turnsIn(input: RuleInput, hand: WrittenHand): Turn[] {
  const found: Turn[] = [];
  for (let event = 1; event + 1 < hand.line.events.length; event += 1) {
    const turn = turnAt(hand, event);
    if (!turn || isInBracket(input, hand, event) || isSlow(input, hand, event)) continue;
    const range = rangeAround(input, hand, event);
    const better = withThumb(input, hand, event, range);
    if (better && isEasierForBoth(input, hand, range, better)) found.push({ event, turn, range, better });
  }
  return found;
}

/** The three notes around an upper turn that all have fingers, the thumb not on the middle one. */
function turnAt(hand: WrittenHand, event: number): [PlacedNote, PlacedNote, PlacedNote] | undefined {
  const top = hand.fingers[event]![0];
  if (top === undefined || top === 1) return undefined;
  const around = hand.line.events.slice(event - 1, event + 2);
  if (around.some(({ notes }) => notes.length !== 1)) return undefined;
  const [before, middle, after] = [event - 1, event, event + 1].map((at) => notesOf(hand, at, at)[0]!);
  const turns = before!.entry.string < middle!.entry.string && after!.entry.string < middle!.entry.string;
  if (!turns || before!.finger === undefined || after!.finger === undefined) return undefined;
  // A quick ornament may take a fresh finger.
  if (around.some((each) => each.grace || soundsSpecial(each))) return undefined;
  return [before!, middle!, after!];
}

/** There is time to come off before or after the turning note. */
function isSlow(input: RuleInput, hand: WrittenHand, event: number): boolean {
  const times = [event - 1, event, event + 1].map((at) => hand.line.events[at]!.atMicros);
  const { beforeMicros } = input.weights.separate;
  return times[1]! - times[0]! >= beforeMicros || times[2]! - times[1]! >= beforeMicros;
}

/** A bracket over the turning note and others says by itself where its thumb is, or that it turns. */
function isInBracket(input: RuleInput, hand: WrittenHand, event: number): boolean {
  return bracketsTouching(input, hand, event, event).some(({ first, last }) => first < last);
}

/** The rise and the fall around a turn, with the brackets that reach into them. */
function rangeAround(input: RuleInput, hand: WrittenHand, event: number): EventRange {
  const { events } = hand.line;
  const rises = (low: number, high: number): boolean =>
    events[low]?.notes.length === 1 &&
    events[high]?.notes.length === 1 &&
    events[low]!.notes[0]!.string < events[high]!.notes[0]!.string;
  let first = event;
  let last = event;
  while (first > event - notesEachSide && rises(first - 1, first)) first -= 1;
  while (last < event + notesEachSide && rises(last + 1, last)) last += 1;
  for (const { bracket } of printedBrackets(input, hand)) {
    if (bracket.first < last && bracket.last > first) {
      first = Math.min(first, bracket.first);
      last = Math.max(last, bracket.last);
    }
  }
  return { first, last };
}

/**
 * The fingering with the thumb on the turn, if it is tellingly easier than the printed one, and easier for the thumb
 * and not only because the notes around it are fingered anew as well.
 */
function withThumb(
  input: RuleInput,
  hand: WrittenHand,
  event: number,
  range: EventRange,
): Solution | undefined {
  const withTop = (finger: Finger): Solution =>
    solveAround(input, hand, range, {
      ...allOutside(range),
      fixed: [{ event, stringAt: 0, finger }],
    });
  const thumb = withTop(1);
  const limit = thumb.totalMilli + tellingMilli;
  if (limit > solveAround(input, hand, range, allPrinted).totalMilli) return undefined;
  return limit <= withTop(hand.fingers[event]![0]!).totalMilli ? thumb : undefined;
}

function editsFor(
  input: RuleInput,
  hand: WrittenHand,
  solution: Solution,
  range: EventRange,
): readonly Edit[] {
  const bracketed = hand.placings.some(
    ({ bracket }) => bracket.first < range.last && bracket.last > range.first,
  );
  if (bracketed) return bracketEdits(input, hand, solution, range);
  const fingered = notesOf(hand, range.first, range.last).filter(({ finger }) => finger !== undefined);
  return digitEdits(input, hand, fingersIn(solution, fingered));
}
