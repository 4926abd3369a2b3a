import type { Placing, Solution } from "../fingering/model.ts";
import { directionOf, type WrittenHand } from "../fingering/written.ts";
import { defineRule, type RuleInput } from "./define.ts";
import { isSound } from "./support/bracketShape.ts";
import { newBracketEdits } from "./support/fixes.ts";
import { eventName, startTagOf } from "./support/places.ts";
import { printedBrackets } from "./support/printedBrackets.ts";
import { hasSpecialSound, notesOf } from "./support/printedPlacings.ts";
import {
  allPrinted,
  type EventRange,
  type FingeredNote,
  solveAround,
  tellingMilli,
} from "./support/solveAround.ts";

const add = { title: "Draw the missing bracket", safety: "ask" } as const;

/** A longer stretch without a bracket was left so on purpose. */
const mostEvents = 4;
/** How many events on each side are looked at, and the share of them that must be under brackets. */
const surrounding = { events: 6, least: 4, share: 0.8 };

export const turnWithoutBracket = defineRule({
  id: "turn-without-bracket",
  severity: "info",
  summary: "A line turns and goes on without a bracket in the midst of music that has brackets throughout.",
  why: "Where every placing has its bracket, notes without one are read as played singly, with the hand coming off. At a turn a new placing begins.",
  bad: "(C4:3 D4:2 (E4:1) D4:2 (C4:3) D4:2 E4:1) D4:2 | (C4:3 D4:2 (E4:1) D4:2 C4:3)",
  good: "(C4:3 D4:2 (E4:1) D4:2 (C4:3) D4:2 (E4:1) D4:2 | (C4:3) D4:2 (E4:1) D4:2 C4:3)",
  fixes: [add],
  check(input, report) {
    for (const hand of input.hands) {
      for (const gap of gapsAtTurns(input, hand)) {
        const placing = placingOver(input, hand, gap);
        if (!placing) continue;
        report({
          span: startTagOf(hand.line.events[gap.first]!.notes[0]!.note),
          message: `The line turns at ${eventName(hand, gap.first - 1)} and goes on to ${eventName(hand, placing.last)} without a bracket; the notes around have theirs.`,
          at: { hand, event: gap.first },
          over: placing,
          fixes: [{ ...add, edits: () => newBracketEdits(input, hand, placing) }],
        });
      }
    }
  },
});

/** The stretches without a bracket that follow a bracket which ends where the line turns. */
function gapsAtTurns(input: RuleInput, hand: WrittenHand): EventRange[] {
  const brackets = printedBrackets(input, hand);
  if (brackets.length === 0) return [];
  const { events } = hand.line;
  const covered = new Array<boolean>(events.length).fill(false);
  const endingAt = new Map<number, EventRange>();
  for (const bracket of brackets) {
    if (bracket.first === bracket.last) continue;
    covered.fill(true, bracket.bracket.first, bracket.last + 1);
    endingAt.set(bracket.last, bracket);
  }
  const gaps: EventRange[] = [];
  for (const [end, bracket] of endingAt) {
    const first = end + 1;
    let last = end;
    while (last + 1 < events.length && !covered[last + 1] && last - end < mostEvents + 1) last += 1;
    if (last < first || last - first >= mostEvents) continue;
    if (turns(input, hand, bracket, first) && isAmongBrackets(covered, { first, last }))
      gaps.push({ first, last });
  }
  return gaps.sort((a, b) => a.first - b.first);
}

/** The event after the bracket goes the other way, in such short time that the hand stays. */
function turns(input: RuleInput, { line }: WrittenHand, bracket: EventRange, next: number): boolean {
  const [pivot, after] = [line.events[bracket.last]!, line.events[next]!];
  if (after.cutBefore || pivot.notes.length > 1 || after.notes.length > 1) return false;
  if (after.atMicros - pivot.atMicros >= input.weights.hold.fromMicros) return false;
  const [before, then] = [
    directionOf(line, bracket.first, bracket.last),
    directionOf(line, bracket.last, next),
  ];
  return before !== undefined && then !== undefined && before !== then;
}

function isAmongBrackets(covered: readonly boolean[], { first, last }: EventRange): boolean {
  return [
    covered.slice(Math.max(0, first - surrounding.events), first),
    covered.slice(last + 1, last + 1 + surrounding.events),
  ].every(
    (side) =>
      side.length >= surrounding.least && side.filter(Boolean).length >= surrounding.share * side.length,
  );
}

/** The placing of two notes or more that the printed fingers make after the turn, if the line is tellingly easier for it. */
function placingOver(input: RuleInput, hand: WrittenHand, gap: EventRange): EventRange | undefined {
  if (hasSpecialSound(notesOf(hand, gap.first, gap.last))) return undefined;
  const range = { first: gap.first - 1, last: Math.min(gap.last + 1, hand.line.events.length - 1) };
  const fixed = notesOf(hand, range.first, range.last).filter(
    (note): note is typeof note & FingeredNote => note.finger !== undefined,
  );
  const printed = solveAround(input, hand, range, allPrinted);
  // With fingers that are asked for in place of printed ones, notes outside the brackets may lie in one hand.
  const free = solveAround(input, hand, range, {
    fingers: (event) => event < range.first || event > range.last,
    placings: () => true,
    fixed,
  });
  const overTurn = (solution: Solution): Placing | undefined =>
    solution.placings.find(
      ({ first, last }) => first <= gap.first && last >= gap.first && first >= gap.first - 1 && last > first,
    );
  const isTelling = free.totalMilli + tellingMilli <= printed.totalMilli;
  const placing = overTurn(free);
  if (!isTelling && !overTurn(printed)) return undefined;
  return placing && isSound({ placings: [placing] })
    ? { first: placing.first, last: placing.last }
    : undefined;
}
