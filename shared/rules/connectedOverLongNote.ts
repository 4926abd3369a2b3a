import { gapsOf } from "../fingering/times.ts";
import type { WrittenHand } from "../fingering/written.ts";
import { removeBracketEnd } from "../musicxml/bracketEdits.ts";
import type { Edit } from "../text/edits.ts";
import { defineRule, type RuleInput } from "./define.ts";
import { isEasierForBoth } from "./support/bothHands.ts";
import { isSound } from "./support/bracketShape.ts";
import { bracketEdits, newBracketEdits } from "./support/fixes.ts";
import { eventName } from "./support/places.ts";
import { type BracketPlacing, bracketsTouching, printedBrackets } from "./support/printedBrackets.ts";
import { printedLine } from "./support/printedLine.ts";
import { restAfter } from "./support/rests.ts";
import { allPrinted, costs, type EventRange, solveAround, tellingMilli } from "./support/solveAround.ts";
import { secondsText } from "./support/times.ts";

const comeOff = { title: "Come off on the long note", safety: "ask" } as const;

export const connectedOverLongNote = defineRule({
  id: "connected-over-long-note",
  severity: "info",
  summary: "Brackets keep the hand on the strings through a long note.",
  why: "On a long note there is time to come off, let the strings ring and place the hand anew; fingers that wait on the strings grow stiff and stop what they touch.",
  bad: "@60 (C4:3 D4:2 (E4/2:1) D4:2 C4:3)",
  good: "@60 (C4:3 D4:2 E4/2:1) (D4:1 C4:2)",
  fixes: [comeOff],
  check(input, report) {
    for (const hand of input.hands) {
      for (const { event, micros, span, range, edits } of waits(input, hand)) {
        report({
          span,
          message: `The hand stays on the strings over ${eventName(hand, event)}, ${secondsText(micros)}: time to come off and place anew.`,
          at: { hand, event },
          over: range,
          fixes: [{ ...comeOff, edits }],
        });
      }
    }
  },
});

interface Wait {
  readonly event: number;
  readonly micros: number;
  readonly span: BracketPlacing["bracket"]["start"]["span"];
  readonly range: EventRange;
  edits(): readonly Edit[];
}

function waits(input: RuleInput, hand: WrittenHand): Wait[] {
  const { fromMicros, rangeMicros } = input.weights.hold;
  if (printedBrackets(input, hand).length === 0) return [];
  const { raw, felt } = gapsOf(printedLine(hand).events, input.weights);
  return felt.flatMap((micros, event): Wait[] => {
    // Between these and shorter notes either way is right.
    if (micros < fromMicros + rangeMicros || isSuddenAfter(hand, event)) return [];
    const near = bracketsTouching(input, hand, event, event + 1);
    if (near.length === 0 || restAfter(hand, event) > 0) return [];
    const wait =
      overlapAt(input, hand, event, near) ??
      crossingAt(input, hand, event, near) ??
      insideAt(input, hand, event, near);
    return wait ? [{ ...wait, event, micros: raw[event]! }] : [];
  });
}

/** What follows so quickly is best placed before. */
const suddenMicros = 250_000;

function isSuddenAfter({ line }: WrittenHand, event: number): boolean {
  const [next, after] = [line.events[event + 1]!, line.events[event + 2]];
  return next.grace || (after !== undefined && after.atMicros - next.atMicros < suddenMicros);
}

type FoundWait = Omit<Wait, "event" | "micros">;

/** Two brackets that meet on the long note, where the line turns. */
function overlapAt(
  input: RuleInput,
  hand: WrittenHand,
  event: number,
  near: readonly BracketPlacing[],
): FoundWait | undefined {
  const before = near.find(({ first, last }) => first < last && last === event);
  const after = near.find(({ first, last }) => first < last && first === event);
  if (!before || !after) return undefined;
  return apart(
    input,
    hand,
    after,
    { first: before.first, last: after.last },
    [after],
    [{ first: event + 1, last: after.last }],
  );
}

/** One bracket over the long note and what follows. */
function insideAt(
  input: RuleInput,
  hand: WrittenHand,
  event: number,
  near: readonly BracketPlacing[],
): FoundWait | undefined {
  const around = near.find(({ first, last }) => first <= event && event < last);
  if (!around) return undefined;
  return apart(
    input,
    hand,
    around,
    around,
    [around],
    [
      { first: around.first, last: event },
      { first: event + 1, last: around.last },
    ],
  );
}

/** Other brackets in the place of some, if the hands are tellingly easier with them. */
function apart(
  input: RuleInput,
  hand: WrittenHand,
  told: BracketPlacing,
  { first, last }: EventRange,
  gone: readonly BracketPlacing[],
  placed: readonly EventRange[],
): FoundWait | undefined {
  const range = { first, last };
  const printed = solveAround(input, hand, range, allPrinted);
  if (costs(printed, range, ["lock"])) return undefined;
  const from = placed[0]!.first;
  for (const keepFingers of [true, false]) {
    const solution = solveAround(input, hand, range, {
      fingers: (event) => keepFingers || event < from || event > range.last,
      placings: (placing) => !gone.some((bracket) => bracket === placing),
      placed,
    });
    if (!isSound(solution) || solution.totalMilli + tellingMilli > printed.totalMilli) continue;
    if (!isEasierForBoth(input, hand, range, solution)) continue;
    return { span: told.bracket.start.span, range, edits: () => bracketEdits(input, hand, solution, range) };
  }
  return undefined;
}

/** A bracket that is drawn from the long note to show a crossing. */
function crossingAt(
  input: RuleInput,
  hand: WrittenHand,
  event: number,
  near: readonly BracketPlacing[],
): FoundWait | undefined {
  const drawn = near.filter(({ first, bracket }) => bracket.first === event && first > event);
  if (drawn.length === 0) return undefined;
  const crossed = hand.placings.find(({ fromPivot, bracket }) => fromPivot && bracket.first === event);
  if (!crossed || !drawn.some(({ bracket }) => bracket === crossed.bracket)) return undefined;
  const { bracket, first, last } = crossed;
  const range = { first: event, last };
  const { placings } = solveAround(input, hand, range, allPrinted);
  if (placings.find((placing) => placing.first === first)?.joint !== "separate") return undefined;
  const edits = (): Edit[] => {
    const others = { ...hand, placings: hand.placings.filter((placing) => placing !== crossed) };
    return [
      ...[bracket.start, bracket.stop].map((end) => removeBracketEnd(input.text, end.removal)),
      ...(first < last ? newBracketEdits(input, others, { first, last }) : []),
    ];
  };
  return { span: bracket.start.span, range, edits };
}
