import { directionOf, isOnePlacing, type WrittenHand } from "../fingering/written.ts";
import type { Edit } from "../text/edits.ts";
import { defineRule, type Fix, type RuleInput } from "./define.ts";
import { isEasierForBoth } from "./support/bothHands.ts";
import { bracketWords, isSound } from "./support/bracketShape.ts";
import { easierEdits, easierFingers } from "./support/easierFingers.ts";
import { bracketEdits } from "./support/fixes.ts";
import { isBusyWithLever, isToComeOff } from "./support/phrasing.ts";
import { eventName, placeOfNote } from "./support/places.ts";
import { type BracketPlacing, bracketsTouching, printedBrackets } from "./support/printedBrackets.ts";
import { hasSpecialSound, notesOf } from "./support/printedPlacings.ts";
import { withoutKeptAlike } from "./support/returns.ts";
import { allPrinted, type EventRange, solveAround, tellingMilli } from "./support/solveAround.ts";
import { secondsText } from "./support/times.ts";

const connect = { title: "Connect the placings on the turning note", safety: "ask" } as const;
const anew = { title: "Finger these notes so that they connect", safety: "ask" } as const;

export const comesOffWithoutTime = defineRule({
  id: "comes-off-without-time",
  severity: "warning",
  summary: "The hand comes off between short notes that could be connected.",
  why: "Getting to the strings is what takes time. Between short notes the next placing is set while the last note of the one before still has its finger on: on the turning note, or by crossing. How fast a hand can be is an estimate: stop on pain; a teacher's or clinician's word goes first.",
  bad: "(C4:3 D4:2 E4:1) (D4:2 C4:3)",
  good: "(C4:3 D4:2 (E4:1) D4:2 C4:3)",
  fixes: [connect, anew],
  check(input, report) {
    for (const hand of input.hands) {
      const found = [...turnsApart(input, hand), ...gapsInFingers(input, hand)];
      for (const { event, words, span, range, fix } of withoutKeptAlike(input, hand, found)) {
        report({
          span,
          message: `${words} within ${secondsText(hand.line.events[event + 1]!.atMicros - hand.line.events[event]!.atMicros)}; connected it would be easier.`,
          at: { hand, event },
          over: range,
          fixes: [fix],
        });
      }
    }
  },
});

interface ComingOff {
  /** The last event before the hand comes off. */
  readonly event: number;
  readonly words: string;
  readonly span: ReturnType<typeof placeOfNote>;
  readonly range: EventRange;
  readonly fix: Fix;
}

/** Longer notes leave time to come off. */
function isShort({ weights }: RuleInput, { line }: WrittenHand, event: number): boolean {
  const [here, next] = [line.events[event]!, line.events[event + 1]];
  return (
    next !== undefined &&
    !next.cutBefore &&
    next.atMicros - here.atMicros < Math.min(weights.evenMicros, weights.hold.fromMicros)
  );
}

/** Where this many turns have brackets that do not meet, and fewer have some that do, that is how they are drawn. */
const turnsOfHouseStyle = 3;

/** Brackets before and after a turn that do not share the turning note. */
function turnsApart(input: RuleInput, hand: WrittenHand): ComingOff[] {
  const brackets = printedBrackets(input, hand).filter(({ first, last }) => last > first);
  const byFirst = new Map(brackets.map((bracket) => [bracket.bracket.first, bracket]));
  let meeting = 0;
  const apart: { a: BracketPlacing; b: BracketPlacing }[] = [];
  for (const a of brackets) {
    const [pivot, next] = [byFirst.get(a.last), byFirst.get(a.last + 1)];
    if (pivot) meeting += 1;
    else if (next && turnsBetween(hand, a, next) && isShort(input, hand, a.last)) apart.push({ a, b: next });
  }
  if (apart.length >= turnsOfHouseStyle && apart.length > meeting) return [];
  return apart.flatMap(({ a, b }) => {
    const edits = connected(input, hand, a, b);
    if (!edits) return [];
    return [
      {
        event: a.last,
        words: `The brackets ${bracketWords(hand, a)} and ${bracketWords(hand, b)} leave the hand to come off at the turn`,
        span: b.bracket.start.span,
        range: { first: a.first, last: b.last },
        fix: { ...connect, edits },
      },
    ];
  });
}

function turnsBetween(hand: WrittenHand, a: BracketPlacing, b: BracketPlacing): boolean {
  const whole = { first: a.last, last: b.last };
  const [before, after] = [
    directionOf(hand.line, a.first, a.last),
    directionOf(hand.line, whole.first, whole.last),
  ];
  return (
    before !== undefined &&
    after !== undefined &&
    before !== after &&
    hand.line.events[a.last]!.notes.length === 1 &&
    isOnePlacing(hand.line, whole)
  );
}

/** Gives, when it is called, the edits that let the second bracket begin on the turning note, if that is tellingly easier. */
function connected(
  input: RuleInput,
  hand: WrittenHand,
  a: BracketPlacing,
  b: BracketPlacing,
): (() => readonly Edit[]) | undefined {
  const [pivot, next] = [hand.fingers[a.last]![0], hand.fingers[b.first]![0]];
  // A finger may slide on to its neighbour; that it comes too soon elsewhere is told by itself.
  if (pivot !== undefined && pivot === next && hand.line.events[b.first]!.notes.length === 1)
    return undefined;
  if (isToComeOff(input, hand, a.last) || isBusyWithLever(input, hand, a.last)) return undefined;
  const range = { first: a.first, last: b.last };
  if (hasSpecialSound(notesOf(hand, range.first, range.last))) return undefined;
  const printed = solveAround(input, hand, range, allPrinted);
  for (const keepFingers of [true, false]) {
    const solution = solveAround(input, hand, range, {
      fingers: (event) => keepFingers || event < b.first || event > b.last,
      placings: (placing) => placing !== b,
      placed: [{ first: a.last, last: b.last }],
      kept: (from) => `${keepFingers ? "fingers " : ""}but ${b.first - from}-${b.last - from}`,
    });
    if (
      !isSound({
        placings: solution.placings.filter(({ first, last }) => first <= range.last && last >= range.first),
      })
    )
      continue;
    if (solution.totalMilli + tellingMilli > printed.totalMilli) continue;
    if (isEasierForBoth(input, hand, range, solution))
      return () => bracketEdits(input, hand, solution, range);
  }
  return undefined;
}

/** Fingers of single notes without a bracket that neither lie in one hand nor cross. */
function gapsInFingers(input: RuleInput, hand: WrittenHand): ComingOff[] {
  const found: ComingOff[] = [];
  for (let event = 0; event + 1 < hand.line.events.length; event += 1) {
    if (!isOutOfOrder(hand, event) || !isShort(input, hand, event) || isInBracket(input, hand, event))
      continue;
    if (isToComeOff(input, hand, event) || isBusyWithLever(input, hand, event)) continue;
    const range = { first: event, last: event + 1 };
    if (hasSpecialSound(notesOf(hand, range.first, range.last))) continue;
    const easier = easierFingers(input, hand, range, ({ placings }) =>
      placings.some(
        ({ first, last, joint }) =>
          (first <= event && last > event) || (first === event + 1 && joint === "cross"),
      ),
    );
    if (!easier || !isEasierForBoth(input, hand, range, easier.solution)) continue;
    const [finger, next] = [hand.fingers[event]![0], hand.fingers[event + 1]![0]];
    found.push({
      event,
      words: `From ${eventName(hand, event)} (${finger}) to ${eventName(hand, event + 1)} (${next}) the hand has to come off`,
      span: placeOfNote(hand.line.events[event + 1]!.notes[0]!),
      range,
      fix: { ...anew, edits: () => easierEdits(input, hand, easier) },
    });
  }
  return found;
}

/** Single notes whose fingers run against the strings without the thumb between them; turns have their own rule. */
function isOutOfOrder({ line, fingers }: WrittenHand, event: number): boolean {
  const [here, next] = [line.events[event]!.notes, line.events[event + 1]!.notes];
  const [a, b] = [fingers[event]![0], fingers[event + 1]![0]];
  if (here.length > 1 || next.length > 1 || a === undefined || b === undefined) return false;
  const rises = next[0]!.string > here[0]!.string;
  if (next[0]!.string === here[0]!.string || !(rises ? a > 1 && b > a : b > 1 && b < a)) return false;
  const top = rises ? event + 1 : event;
  return ![top - 1, top + 1].every((at) => {
    const notes = line.events[at]?.notes;
    return notes !== undefined && notes[notes.length - 1]!.string < line.events[top]!.notes[0]!.string;
  });
}

function isInBracket(input: RuleInput, hand: WrittenHand, event: number): boolean {
  return bracketsTouching(input, hand, event, event + 1).some(({ first, last }) => first < last);
}
