import { bracketStartNote, bracketStop } from "../fingering/write.ts";
import type { WrittenHand } from "../fingering/written.ts";
import {
  type BracketToWrite,
  bracketAfter,
  bracketBefore,
  removeBracketEnd,
} from "../musicxml/bracketEdits.ts";
import type { LineEvent } from "../score/handLines.ts";
import type { BracketEnd } from "../score/model.ts";
import { add, compare, type Rational } from "../score/rational.ts";
import type { Edit } from "../text/edits.ts";
import { firstWhere } from "../text/firstWhere.ts";
import { defineRule, type Fix, type RuleInput } from "./define.ts";
import { isSound } from "./support/bracketShape.ts";
import { newBracketEdits } from "./support/fixes.ts";
import { eventName } from "./support/places.ts";
import { bracketsTouching } from "./support/printedBrackets.ts";
import { allPrinted, type EventRange, solveAround } from "./support/solveAround.ts";

const complete = { title: "Add the missing end of the bracket", safety: "ask" } as const;
const removeEnd = { title: "Remove this end of a bracket", safety: "ask" } as const;
const removeBoth = { title: "Remove this bracket", safety: "ask" } as const;

export const unmatchedBracketEnd = defineRule({
  id: "unmatched-bracket-end",
  severity: "error",
  summary: "A bracket starts and never stops, stops and never started, or has no note under it.",
  why: "A placing bracket tells which fingers are set together, so it needs both ends. Programs draw a bracket without its other end to the end of the system, or not at all.",
  bad: "{C4:3 D4:2 E4:1 C4:3",
  good: "(C4:3 D4:2 E4:1) C4:3",
  fixes: [complete, removeEnd, removeBoth],
  check(input, report) {
    for (const hand of input.hands) {
      const { unmatched } = hand.brackets;
      for (let i = 0; i < unmatched.length; i += 1) {
        const end = unmatched[i]!;
        const next = unmatched[i + 1];
        const event = eventAt(input, hand, end);
        if (next && isEmptyPair(input, hand, end, next)) {
          report({
            span: end.span,
            message: `A bracket ${event.words} has no note under it.`,
            at: event.at,
            related: [{ span: next.span, message: "Its other end." }],
            fixes: [
              {
                ...removeBoth,
                edits: () => [end, next].map(({ removal }) => removeBracketEnd(input.text, removal)),
              },
            ],
          });
          i += 1;
          continue;
        }
        report({
          span: end.span,
          message:
            end.type === "start"
              ? `A bracket starts ${event.words} and never stops.`
              : `A bracket stops ${event.words} that never started.`,
          at: event.at,
          fixes: [
            ...completion(input, hand, end, event.index),
            { ...removeEnd, edits: () => [removeBracketEnd(input.text, end.removal)] },
          ],
        });
      }
    }
  },
});

function timeOf(input: RuleInput, end: BracketEnd): Rational {
  return add(input.score.measureStarts[end.measure.index]!, end.position);
}

/** The two ends of a bracket that ends before a note has come. */
function isEmptyPair(input: RuleInput, hand: WrittenHand, start: BracketEnd, stop: BracketEnd): boolean {
  if (start.type !== "start" || stop.type !== "stop") return false;
  if (start.number !== stop.number || start.staff !== stop.staff) return false;
  const [from, to] = [timeOf(input, start), timeOf(input, stop)];
  return (
    compare(from, to) <= 0 &&
    !hand.line.events.some(({ onset }) => compare(onset, from) >= 0 && compare(onset, to) < 0)
  );
}

interface EndPlace {
  /** The first event after a start, the last event before a stop; undefined where the hand plays nothing there. */
  readonly index: number | undefined;
  readonly words: string;
  readonly at: { readonly hand: WrittenHand; readonly event: number };
}

function eventAt(input: RuleInput, hand: WrittenHand, end: BracketEnd): EndPlace {
  const { events } = hand.line;
  const time = timeOf(input, end);
  const isAfter = (event: LineEvent): boolean => {
    if (compare(event.onset, time) > 0) return true;
    const isWrittenAfter = event.notes[0]!.note.index >= end.notesBefore;
    if (end.type === "start") return !event.grace || isWrittenAfter;
    return event.grace ? isWrittenAfter : !hand.brackets.stopsAtOnset;
  };
  let after = firstWhere(events.length, (i) => compare(events[i]!.onset, time) >= 0);
  while (after < events.length && !isAfter(events[after]!)) after += 1;
  const index = end.type === "start" ? after : after - 1;
  if (index < 0 || index === events.length) {
    const event = end.type === "start" ? events.length - 1 : 0;
    const words = `${end.type === "start" ? "after" : "before"} ${eventName(hand, event)}`;
    return { index: undefined, words, at: { hand, event } };
  }
  const words = `${end.type === "start" ? "before" : "after"} ${eventName(hand, index)}`;
  return { index, words, at: { hand, event: index } };
}

/**
 * The fix that adds the other end where the search would put it, if its placing is a good one. Where another bracket
 * of the same number is open there, both ends are written anew with a number of their own.
 */
function completion(input: RuleInput, hand: WrittenHand, end: BracketEnd, event: number | undefined): Fix[] {
  if (event === undefined) return [];
  const range = placingAt(input, hand, end, event);
  if (!range) return [];
  const edits = isNumberFree(input, hand, end, range)
    ? (): Edit[] => [otherEnd(input, hand, end, range)]
    : (): Edit[] => [removeBracketEnd(input.text, end.removal), ...newBracketEdits(input, hand, range)];
  return [{ ...complete, edits }];
}

function otherEnd(input: RuleInput, hand: WrittenHand, end: BracketEnd, range: EventRange): Edit {
  const { part } = hand.line.events[range.first]!;
  const bracket: Omit<BracketToWrite, "type" | "offsetDivisions"> = {
    number: end.number,
    placement: end.placement ?? (hand.hand === "right" ? "above" : "below"),
    voice: end.voice,
    staff: part.staves > 1 ? end.staff : undefined,
  };
  const start = bracketStartNote(hand.line, range.first);
  if (end.type === "stop") {
    return bracketBefore(input.text, start.site, { ...bracket, type: "start", offsetDivisions: 0 });
  }
  const { stopNote, stopOffsetDivisions } = bracketStop(input.score, hand.line, range.last, start.voice);
  return bracketAfter(input.text, stopNote.site, {
    ...bracket,
    type: "stop",
    offsetDivisions: stopOffsetDivisions,
  });
}

/** The placing that the search begins with the event after a start, or ends with the one before a stop. */
function placingAt(
  input: RuleInput,
  hand: WrittenHand,
  end: BracketEnd,
  event: number,
): EventRange | undefined {
  const { placings } = solveAround(input, hand, { first: event, last: event }, allPrinted);
  const fromPivot = (input.crossingStyle ?? "fromPivot") === "fromPivot";
  const drawn = placings.map((placing) => ({
    placing,
    first: fromPivot && placing.joint === "cross" ? placing.first - 1 : placing.first,
    last: placing.last,
  }));
  const found =
    end.type === "start"
      ? (drawn.find(({ placing, last }) => placing.first === event && last > event) ??
        drawn.find(({ first, last }) => first === event && last > event))
      : drawn.find(({ first, last }) => last === event && first < event);
  if (!found || !isSound({ placings: [found.placing] })) return undefined;
  const first = end.type === "start" ? event : found.first;
  const range = { first, last: found.last };
  const isPrinted = bracketsTouching(input, hand, range.first, range.last).some(
    ({ bracket }) => bracket.first === range.first && bracket.last === range.last,
  );
  return isPrinted ? undefined : range;
}

/** True when no other end of this number stands between the two, so that they will be taken for a pair. */
function isNumberFree(input: RuleInput, hand: WrittenHand, end: BracketEnd, range: EventRange): boolean {
  const from = hand.line.events[range.first]!.onset;
  const to = hand.line.events[range.last]!.onset;
  return !hand.line.events[range.first]!.part.brackets.some((other) => {
    if (other === end || other.number !== end.number || other.staff !== end.staff) return false;
    const time = timeOf(input, other);
    const isInside = compare(time, from) > 0 && compare(time, to) <= 0;
    return isInside || (compare(time, from) === 0 && other.type === "start");
  });
}
