import { separateLook } from "../fingering/handTable.ts";
import type { Solution } from "../fingering/model.ts";
import { isOnePlacing, type WrittenHand } from "../fingering/written.ts";
import { defineRule, type Fix, type Report, type RuleInput } from "./define.ts";
import { anewEdits, freeStretch } from "./support/anew.ts";
import { isEasierForBoth } from "./support/bothHands.ts";
import { eventName, placeOfNote } from "./support/places.ts";
import { printedLine } from "./support/printedLine.ts";
import { placingsTouching } from "./support/printedPlacings.ts";
import { reachOf } from "./support/reach.ts";
import { fingeredAlike } from "./support/returns.ts";
import { costs, type EventRange, solveAround } from "./support/solveAround.ts";
import { bothHands, isForTwoHarps, isOutOfTime } from "./support/timing.ts";
import { isUnclearlyGiven } from "./support/unclearMarks.ts";

const connect = { title: "Keep this hand on the strings here", safety: "ask" } as const;

/** With so much time a hand goes to its place first, and leaves the eyes to the other. From memory: an estimate. */
const aheadMicros = 1_200_000;

/** Weighing a place takes a search of both hands: the first places of a score are weighed, more are not told of. */
const mostWeighed = 24;

export const bothHandsLook = defineRule({
  id: "both-hands-look",
  severity: "warning",
  summary:
    "Both hands come off at once for places far apart where one could stay on the strings (warning), or both leap (info).",
  why: "The eyes serve one place at a time. When one hand stays connected it needs no look, and the other can be watched over its leap.",
  bad: "R: @80 (C5/1:3 D5/1:2 E5/1:1) (D5/1:1 | C5/1:2) // L: r/2 A3/1:1 C2/1:4",
  good: "R: @80 (C5/1:3 D5/1:2 (E5/1:1) D5/1:2 | C5/1:3) // L: r/2 A3/1:1 C2/1:4",
  fixes: [connect],
  check(input, report) {
    const both = bothHands(input);
    if (!both || isForTwoHarps(input.harp)) return;
    let weighed = 0;
    // A hand that comes off once may meet two looks of the other: that is told once.
    const told = new Set<Look>();
    for (const { right, left } of meetings(input, looksOf(input, both.right), looksOf(input, both.left))) {
      if (told.has(right) || told.has(left)) continue;
      if (right.forced && left.forced) {
        if (Math.min(right.weight, left.weight) < input.weights.glance.afterLeap) continue;
        told.add(left);
        report({
          ...placed(both.right, right.event, both.left, left.event),
          severity: "info",
          message: `Both hands leap at once, the right to ${eventName(both.right, right.event)} and the left to ${eventName(both.left, left.event)}; the eyes serve one place at a time.`,
        });
        continue;
      }
      for (const [look, hand, other] of [
        [right, both.right, left],
        [left, both.left, right],
      ] as const) {
        if (look.forced || weighed >= mostWeighed) continue;
        weighed += 1;
        const fixes = connectedFix(input, hand, look.event);
        if (fixes.length === 0) continue;
        told.add(look);
        const otherHand = hand === both.right ? both.left : both.right;
        report({
          ...placed(hand, look.event, otherHand, other.event),
          message: `Both hands come off for places far apart, the ${hand.hand} for ${eventName(hand, look.event)} and the ${otherHand.hand} for ${eventName(otherHand, other.event)}: the eyes serve one place at a time. The ${hand.hand} hand could stay on the strings.`,
          fixes,
        });
        break;
      }
    }
  },
});

function placed(
  hand: WrittenHand,
  event: number,
  other: WrittenHand,
  otherEvent: number,
): Pick<Report, "span" | "at" | "related"> {
  return {
    span: placeOfNote(hand.line.events[event]!.notes[0]!),
    at: { hand, event },
    related: [
      {
        span: placeOfNote(other.line.events[otherEvent]!.notes[0]!),
        message: `The ${other.hand} hand comes off before this.`,
      },
    ],
  };
}

/** A hand comes off before an event and has to look where to land. */
interface Look {
  readonly event: number;
  readonly at: number;
  /** In thousandths, as in the table of costs. */
  readonly weight: number;
  readonly lowest: number;
  readonly highest: number;
  /** Whatever the fingering is, for the notes are too many or too far. */
  readonly forced: boolean;
}

/** Where the hand comes off for certain: the music asks for it, or the printed brackets do. In order of time. */
function looksOf(input: RuleInput, hand: WrittenHand): Look[] {
  const { events } = hand.line;
  const { joined } = printedLine(hand).locks;
  const looks: Look[] = [];
  for (let event = 1; event < events.length; event += 1) {
    const [from, to] = [events[event - 1]!, events[event]!];
    if (to.cutBefore || to.atMicros - from.atMicros >= aheadMicros) continue;
    if (isOutOfTime(hand, event - 1) || isOutOfTime(hand, event)) continue;
    if (isUnclearlyGiven(input, hand, event - 1) || isUnclearlyGiven(input, hand, event)) continue;
    const forced = isForced(input, hand, event);
    if (!forced && (joined?.[event - 1] !== false || isCrossed(hand, event))) continue;
    const strings = [from, to].map(({ notes }) => notes.map(({ string }) => string));
    looks.push({
      event,
      at: to.atMicros,
      weight: separateLook(strings[0]!, strings[1]!, input.weights),
      lowest: to.notes[0]!.string,
      highest: to.notes[to.notes.length - 1]!.string,
      forced,
    });
  }
  return looks;
}

/** No placing and no crossing connects the two events. */
function isForced({ weights }: RuleInput, { line }: WrittenHand, event: number): boolean {
  const [a, b] = [line.events[event - 1]!.notes, line.events[event]!.notes];
  const span =
    Math.max(a[a.length - 1]!.string, b[b.length - 1]!.string) - Math.min(a[0]!.string, b[0]!.string);
  const apart = Math.max(b[0]!.string - a[a.length - 1]!.string, a[0]!.string - b[b.length - 1]!.string);
  if (a.length === 1 && b.length === 1 && apart > 0 && apart <= weights.crossAtMostSteps) return false;
  return a.length + b.length > 4 || apart <= 0 || span > reachOf(weights, 1, 4).possible;
}

/** A finger passes under the thumb, or the thumb over it, from the one note to the next. */
function isCrossed({ line, fingers }: WrittenHand, event: number): boolean {
  const [a, b] = [line.events[event - 1]!.notes, line.events[event]!.notes];
  if (a.length > 1 || b.length > 1) return false;
  const [from, to] = [fingers[event - 1]![0], fingers[event]![0]];
  const steps = b[0]!.string - a[0]!.string;
  return steps > 0 ? from === 1 && to !== 1 : from !== 1 && to === 1;
}

/** Looks of both hands that are wanted at one time, for places far apart. */
function* meetings(
  { weights }: RuleInput,
  right: readonly Look[],
  left: readonly Look[],
): Generator<{ readonly right: Look; readonly left: Look }> {
  const { lookMicros, nearStrings, nearSpan, comingOff } = weights.glance;
  let from = 0;
  for (const a of right) {
    if (a.weight < comingOff) continue;
    while (from < left.length && left[from]!.at <= a.at - lookMicros) from += 1;
    for (let i = from; i < left.length && left[i]!.at < a.at + lookMicros; i += 1) {
      const b = left[i]!;
      const apart = Math.max(a.lowest - b.highest, b.lowest - a.highest);
      const span = Math.max(a.highest, b.highest) - Math.min(a.lowest, b.lowest);
      if (b.weight < comingOff || apart <= nearStrings || span <= nearSpan) continue;
      yield { right: a, left: b };
      break;
    }
  }
}

/** The printed brackets around an event changed so that one placing holds it and the event before. */
function connectedFix(input: RuleInput, hand: WrittenHand, event: number): Fix[] {
  const near = placingsTouching(input, hand, event - 1, event);
  const range = {
    first: Math.min(event - 1, ...near.map(({ first }) => first)),
    last: Math.max(event, ...near.map(({ last }) => last)),
  };
  const stretch = freeStretch(input, hand, range);
  let best: Solution | undefined;
  for (const placing of connecting(hand, event)) {
    if (placing.first < stretch.first || placing.last > stretch.last) continue;
    const solution = solveAround(input, hand, stretch, { ...stretch.decisions, placed: [placing] });
    if (costs(solution, stretch, ["lock", "thumb", "turn", "skip", "tooWide", "tooMany", "tooFast"]))
      continue;
    if (!best || solution.totalMilli < best.totalMilli) best = solution;
  }
  if (!best || isKeptAlike(input, hand, stretch, best)) return [];
  if (!isEasierForBoth(input, hand, stretch, best)) return [];
  const found = best;
  return [{ ...connect, edits: () => anewEdits(input, hand, found, stretch) }];
}

/** Its passage comes back with the same fingers: another way here would make the places differ. */
function isKeptAlike(input: RuleInput, hand: WrittenHand, range: EventRange, { fingers }: Solution): boolean {
  for (let event = range.first; event <= range.last; event += 1) {
    const isSame = fingers[event]!.join() === hand.fingers[event]!.join();
    if (!isSame && fingeredAlike(input, hand, event).length > 0) return true;
  }
  return false;
}

function connecting(hand: WrittenHand, event: number): EventRange[] {
  const ranges: EventRange[] = [];
  for (let first = event - 1; first >= Math.max(0, event - 3); first -= 1) {
    for (let last = event; last <= Math.min(hand.line.events.length - 1, first + 3); last += 1) {
      if (isOnePlacing(hand.line, { first, last })) ranges.push({ first, last });
    }
  }
  return ranges;
}
