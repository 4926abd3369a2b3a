import { printedSlide, type WrittenHand } from "../fingering/written.ts";
import type { Edit } from "../text/edits.ts";
import { defineRule, type Fix, type Report, type RuleInput } from "./define.ts";
import { bracketEdits, digitEdits, refingerFixes } from "./support/fixes.ts";
import { inWords, nameOf, placeOfNote } from "./support/places.ts";
import {
  hasSpecialSound,
  inOrder,
  notesOf,
  type PlacedNote,
  type PrintedPlacing,
  printedPlacings,
  staysInOrder,
} from "./support/printedPlacings.ts";
import { solveAround } from "./support/solveAround.ts";
import { isFingeredForTwoHands, isOtherHandFree } from "./support/twoHands.ts";

const sort = { title: "Put the fingers in the order of the strings", safety: "ask" } as const;
const anew = { title: "Finger these notes anew", safety: "ask" } as const;
const split = { title: "Give each side of the crossing its own bracket", safety: "ask" } as const;

export const fingersAgainstStrings = defineRule({
  id: "fingers-against-strings",
  severity: "error",
  summary: "The fingers of a chord or of a bracket do not follow the order of its strings.",
  why: "In both hands the thumb takes the highest string, and the fingers lie on the strings in their own order: from the lowest string up they run from 4 down to 1, none twice.",
  bad: "(C4:1 D4:2 E4:3)",
  good: "(C4:3 D4:2 E4:1)",
  fixes: [sort, anew, split],
  check(input, report) {
    for (const hand of input.hands) {
      const told = new Set<number>();
      for (const placing of placingsToCheck(input, hand)) {
        const fault = firstFault(hand, placing.notes);
        if (!fault) continue;
        const crossing = crossingInside(input, hand, placing);
        const found = crossing
          ? crossingReport(input, hand, placing, crossing)
          : orderReport(input, hand, placing, fault);
        // A chord that two brackets share is one fault.
        if (!told.has(found.span.start)) report(found);
        told.add(found.span.start);
      }
    }
  },
});

function placingsToCheck(input: RuleInput, hand: WrittenHand): PrintedPlacing[] {
  return printedPlacings(input, hand).filter(({ notes, first, bracket }) => {
    if (hasSpecialSound(notes)) return false;
    const twoHands = !bracket && isFingeredForTwoHands(notes.map(({ finger }) => finger));
    return !(twoHands && isOtherHandFree(input, hand, first));
  });
}

/** Two neighbouring strings, by those that have a finger, whose fingers do not fit. */
interface OrderFault {
  readonly low: PlacedNote;
  readonly high: PlacedNote;
}

function firstFault(hand: WrittenHand, notes: readonly PlacedNote[]): OrderFault | undefined {
  const fingered = notes.filter(({ finger }) => finger !== undefined);
  let found: OrderFault | undefined;
  for (let i = 1; i < fingered.length; i += 1) {
    const low = fingered[i - 1]!;
    const high = fingered[i]!;
    if (high.finger! < low.finger!) continue;
    if (high.finger === low.finger) {
      // The same finger twice in one chord is said by itself.
      if (high.event === low.event) return undefined;
      if (isSlide(hand, low, high)) continue;
    }
    found ??= { low, high };
  }
  return found;
}

/** One finger plays both and slides from the one to the other. */
function isSlide(hand: WrittenHand, low: PlacedNote, high: PlacedNote): boolean {
  const first = Math.min(low.event, high.event);
  return Math.max(low.event, high.event) === first + 1 && printedSlide(hand.line, first) === low.finger;
}

function orderReport(
  input: RuleInput,
  hand: WrittenHand,
  placing: PrintedPlacing,
  { low, high }: OrderFault,
): Report {
  const where = placing.first === placing.last ? "in one chord" : "under one bracket";
  const twice = low.finger === high.finger;
  const [lower, higher] = [nameOf(low.entry), nameOf(high.entry)];
  const later = high.event >= low.event ? high : low;
  const other = later === high ? low : high;
  return {
    span: placeOfNote(later.entry),
    message: twice
      ? `${lower} and ${higher} stand ${where} and are both marked with finger ${low.finger}.`
      : `${lower} has finger ${low.finger} and ${higher} above it ${high.finger}: ${where} the higher string takes the lower finger number.`,
    at: { hand, event: later.event },
    related: [
      { span: placeOfNote(other.entry), message: `${nameOf(other.entry)} has finger ${other.finger}.` },
    ],
    fixes: orderFixes(input, hand, placing),
  };
}

function orderFixes(input: RuleInput, hand: WrittenHand, placing: PrintedPlacing): Fix[] {
  const fingered = placing.notes.filter(({ finger }) => finger !== undefined);
  const fresh = refingerFixes(input, hand, anew, fingered);
  const sorted = fingered.map(({ finger }) => finger!).sort((a, b) => b - a);
  const distinct = new Set(sorted).size === sorted.length;
  const top = placing.notes[placing.notes.length - 1]!;
  const hasThumb = top.finger === undefined || sorted[sorted.length - 1] === 1;
  if (!distinct || !hasThumb || !staysInOrder(input, hand, fingered, sorted)) return fresh;
  const edits = (): Edit[] =>
    digitEdits(
      input,
      hand,
      fingered.map((note, i) => ({ ...note, finger: sorted[i]! })),
    );
  return [{ ...sort, edits }, ...fresh];
}

/**
 * The event after which one bracket over four single notes crosses, as 2 1 2 1 upwards: some prints draw one bracket
 * over both groups.
 */
function crossingInside(
  input: RuleInput,
  hand: WrittenHand,
  { first, last, notes }: PrintedPlacing,
): number | undefined {
  if (last - first !== 3 || notes.length !== 4 || notes.some(({ finger }) => finger === undefined)) {
    return undefined;
  }
  const middle = first + 1;
  if (!inOrder(notesOf(hand, first, middle)) || !inOrder(notesOf(hand, middle + 1, last))) return undefined;
  const [before, after] = [notesOf(hand, middle, middle)[0]!, notesOf(hand, middle + 1, middle + 1)[0]!];
  const steps = after.entry.string - before.entry.string;
  const thumb = steps > 0 ? before : after;
  const passing = steps > 0 ? after : before;
  const crosses =
    thumb.finger === 1 && passing.finger !== 1 && Math.abs(steps) <= input.weights.crossAtMostSteps;
  return crosses ? middle : undefined;
}

function crossingReport(
  input: RuleInput,
  hand: WrittenHand,
  placing: PrintedPlacing,
  middle: number,
): Report {
  const names = [middle, middle + 1].map((event) => nameOf(hand.line.events[event]!.notes[0]!));
  const range = { first: placing.first, last: placing.last };
  return {
    span: placing.bracket?.bracket.start.span ?? placeOfNote(placing.notes[0]!.entry),
    severity: "info",
    message: `The fingers under this bracket cross between ${inWords(names)}: two placings under one bracket.`,
    at: { hand, event: placing.first },
    fixes: [
      {
        ...split,
        edits: () => {
          const groups = [
            { first: range.first, last: middle },
            { first: middle + 1, last: range.last },
          ];
          const decisions = { fingers: () => true, placings: () => false, placed: groups };
          return bracketEdits(input, hand, solveAround(input, hand, range, decisions, 0), range);
        },
      },
    ],
  };
}
