import type { Finger, Locks, Solution, TermName } from "../../fingering/model.ts";
import { solve } from "../../fingering/solve.ts";
import { isOnePlacing, type WrittenHand } from "../../fingering/written.ts";
import type { RuleInput } from "../define.ts";
import { bracketsTouching } from "./printedBrackets.ts";
import { printedLine } from "./printedLine.ts";
import { printMemoryOf, printText } from "./printMemory.ts";

/** Inclusive range of events of one hand. */
export interface EventRange {
  readonly first: number;
  readonly last: number;
}

/** A note of a hand: events[event].notes[stringAt]. */
export interface NotePosition {
  readonly event: number;
  readonly stringAt: number;
}

/** A note and a finger for it. */
export interface FingeredNote extends NotePosition {
  readonly finger: Finger;
}

/** Which of the printed decisions a search keeps, and what it has to take besides. */
export interface Decisions {
  /** Whether a printed finger is kept. */
  fingers(event: number, stringAt: number): boolean;
  /** Whether a printed placing is kept. */
  placings(placing: EventRange): boolean;
  /** Fingers that it has to take. */
  readonly fixed?: readonly FingeredNote[];
  /** Placings that it has to take. */
  readonly placed?: readonly EventRange[];
  /**
   * Tells what is kept by the print alone, with events counted from `from`: where both are alike, so is what is kept.
   * Without it nothing is remembered for the next reading.
   */
  readonly kept?: (from: number) => string;
}

/** Keeps everything that is printed. */
export const allPrinted: Decisions = { fingers: () => true, placings: () => true, kept: () => "all" };

/** Keeps everything but the fingers of these notes. */
export function allBut(notes: readonly NotePosition[]): Decisions {
  const free = new Set(notes.map(({ event, stringAt }) => `${event} ${stringAt}`));
  return {
    fingers: (event, stringAt) => !free.has(`${event} ${stringAt}`),
    placings: () => true,
    kept: (from) => `but ${notes.map(({ event, stringAt }) => `${event - from}.${stringAt}`).join()}`,
  };
}

/** Keeps the fingers outside a range, and the placings outside it or a wider one. */
export function allOutside(range: EventRange, wider = range): Decisions {
  return {
    fingers: (event) => event < range.first || event > range.last,
    placings: ({ first, last }) => last <= wider.first || first >= wider.last,
    kept: (from) =>
      `outside ${[range.first, range.last, wider.first, wider.last].map((event) => event - from).join()}`,
  };
}

/**
 * Events on each side of the range that take part in the search. A placing has at most four notes and a cost looks at
 * two neighbouring placings and four times on each side, so that what is printed further away does not matter.
 */
const surroundings = 8;

/** Two totals that differ by less, in thousandths, are called equally good. */
export const tellingMilli = 300;

/** A range with the events around it that a search of it looks at. */
export function withSurroundings(
  { line }: WrittenHand,
  { first, last }: EventRange,
  around = surroundings,
): EventRange {
  return { first: Math.max(0, first - around), last: Math.min(line.events.length - 1, last + around) };
}

/**
 * Fingers a range of events within its printed surroundings, by a search over these alone, so that the time does not
 * depend on the length of the piece.
 *
 * @param around events on each side that take part.
 * @returns placings and fingers with the numbers of the hand's own events; events outside have no fingers in it.
 *          Totals of one range may be compared with each other.
 */
export function solveAround(
  input: RuleInput,
  hand: WrittenHand,
  range: EventRange,
  decisions: Decisions,
  around = surroundings,
): Solution {
  const { first: from, last: to } = withSurroundings(hand, range, around);
  const found = answer(input, hand, from, to, decisions);
  const { totalMilli } = found;
  let placings: Solution["placings"] | undefined;
  let fingers: Solution["fingers"] | undefined;
  // Often the total is all that is asked for.
  return {
    totalMilli,
    get placings() {
      placings ??= found.placings.map((placing) => ({
        ...placing,
        first: from + placing.first,
        last: from + placing.last,
      }));
      return placings;
    },
    get fingers() {
      fingers ??= new Array<Solution["fingers"][number]>(from).concat(found.fingers);
      return fingers;
    },
  };
}

/** A solution with the numbers of events counted from `from`. */
function answer(
  input: RuleInput,
  hand: WrittenHand,
  from: number,
  to: number,
  decisions: Decisions,
): Solution {
  const { kept, fixed, placed } = decisions;
  const find = (): Solution => searched(input, hand, from, to, decisions);
  if (!kept) return find();
  const added = [
    ...(fixed ?? []).map(({ event, stringAt, finger }) => `${event - from}.${stringAt}:${finger}`),
    ...(placed ?? []).map(({ first, last }) => `${first - from}-${last - from}`),
  ];
  const question = `${kept(from)} ${added.join()} ${printText(input, hand, from, to)}`;
  return printMemoryOf(input).solutions.get(question, to - from + 1, find);
}

function searched(
  input: RuleInput,
  hand: WrittenHand,
  from: number,
  to: number,
  decisions: Decisions,
): Solution {
  const sought = {
    hand: hand.hand,
    events: printedLine(hand).events.slice(from, to + 1),
    locks: locksBetween(input, hand, from, to, decisions),
  };
  const find = (): Solution => solve(sought, input.weights);
  return input.solutions?.solution(sought, input.weights, find) ?? find();
}

/** True when a placing that reaches into the range, or the joint before it, costs something of these names. */
export function costs(
  { placings }: Pick<Solution, "placings">,
  range: EventRange,
  names: readonly TermName[],
): boolean {
  return placings
    .filter(({ first, last }) => first <= range.last && last >= range.first)
    .some(({ placingTerms, jointTerms }) =>
      [...placingTerms, ...jointTerms].some(({ name }) => names.includes(name)),
    );
}

function locksBetween(
  input: RuleInput,
  hand: WrittenHand,
  from: number,
  to: number,
  decisions: Decisions,
): Locks {
  const fingers: (readonly (Finger | undefined)[])[] = [];
  const isKept: boolean[] = [];
  for (let event = from; event <= to; event += 1) {
    const row = hand.fingers[event]!;
    const kept = row.every((_, stringAt) => decisions.fingers(event, stringAt));
    isKept.push(kept);
    fingers.push(
      kept ? row : row.map((finger, stringAt) => (decisions.fingers(event, stringAt) ? finger : undefined)),
    );
  }
  for (const { event, stringAt, finger } of decisions.fixed ?? [])
    fingers[event - from] = fingers[event - from]!.with(stringAt, finger);
  const printed = bracketsTouching(input, hand, from, to).filter((placing) => decisions.placings(placing));
  const placings = [...printed, ...(decisions.placed ?? [])]
    .filter(({ first, last }) => first >= from && last <= to)
    .filter((placing) => isOnePlacing(hand.line, placing))
    .map(({ first, last }) => ({ first: first - from, last: last - from }))
    .sort((a, b) => a.first - b.first || a.last - b.last);
  const joined = printedLine(hand)
    .locks.joined?.slice(from, to)
    .map((apart, i) => (isKept[i] && isKept[i + 1] ? apart : undefined));
  return { fingers, placings, joined };
}
