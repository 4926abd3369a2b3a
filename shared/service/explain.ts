import {
  fingers as allFingers,
  type Direction,
  type Finger,
  type FingeringLine,
  type HandName,
  type Joint,
  type Placing,
  type Solution,
  type TermName,
} from "../fingering/model.ts";
import { refinger } from "../fingering/refinger.ts";
import { solve, withLock } from "../fingering/solve.ts";
import type { Weights } from "../fingering/weights.ts";
import { type Keep, locksOf, searchLine, type WrittenHand } from "../fingering/written.ts";
import { pitchName } from "../score/pitch.ts";
import { barList, pitchNames, placeName, placeOf } from "./places.ts";
import {
  changeWords,
  crossingWords,
  directionWords,
  insteadWords,
  jointWords,
  type TermChange,
  termWords,
  unitsText,
} from "./words.ts";

/** Two fingerings whose costs differ by less than this, in thousandths, are called equally good. */
export const equallyGoodBelowMilli = 300;

/** A cost with its name and what it says about this placing. */
export interface ExplainedTerm {
  readonly name: TermName;
  readonly milli: number;
  readonly words: string;
}

/** A note of a placing. */
export interface ExplainedNote {
  readonly pitch: string;
  readonly finger: Finger | undefined;
  /** Plucked together with the note before it. */
  readonly chord: boolean;
}

/** One placing, told to a player. */
export interface ExplainedPlacing {
  readonly hand: HandName;
  readonly bar: string;
  readonly beat: string;
  /** In the order of playing; the notes of a chord lowest first. */
  readonly notes: readonly ExplainedNote[];
  readonly direction: Direction;
  readonly joint: Joint;
  /** How it follows the placing before. */
  readonly jointText: string;
  /** Of the placing and of the joint that leads to it. */
  readonly terms: readonly ExplainedTerm[];
  readonly totalMilli: number;
}

/**
 * Tells one placing of a solution: where, with which fingers, how it follows, and what it costs by term.
 * @param index of the placing in `solution.placings`.
 */
export function explainPlacing(hand: WrittenHand, solution: Solution, index: number): ExplainedPlacing {
  const placing = solution.placings[index]!;
  const notes = placing.fingers.flatMap((row, k) =>
    pitchNames(hand, placing.first + k).map((pitch, j) => ({ pitch, finger: row[j], chord: j > 0 })),
  );
  const crossing = crossingOf(hand, solution, index);
  const jointText = crossing ? crossingWords(crossing.rising, crossing.finger) : jointWords[placing.joint];
  const terms = [...placing.jointTerms, ...placing.placingTerms].map(({ name, milli }) => ({
    name,
    milli,
    words: name === "cross" ? jointText : termWords[name],
  }));
  return {
    hand: hand.hand,
    ...placeOf(hand, placing.first),
    notes,
    direction: placing.direction,
    joint: placing.joint,
    jointText,
    terms,
    totalMilli: terms.reduce((sum, term) => sum + term.milli, 0),
  };
}

/** The lines that people read: the placing, then each cost. */
export function placingLines(placing: ExplainedPlacing): string[] {
  const notes = placing.notes
    .map(({ pitch, finger, chord }, i) => `${i === 0 ? "" : chord ? " + " : ", "}${pitch} ${finger ?? "-"}`)
    .join("");
  const way = placing.direction === "together" ? "" : `${directionWords[placing.direction]}, `;
  return [
    `bar ${placing.bar}, beat ${placing.beat}:  ${notes}  (${way}${placing.jointText}; cost ${unitsText(placing.totalMilli)})`,
    ...placing.terms.map(({ milli, words }) => `    ${unitsText(milli).padStart(5)}  ${words}`),
  ];
}

/** How one fingering of a line compares with another. */
export interface Comparison {
  /** What the second costs more, in thousandths; below 0 when it costs less. */
  readonly differenceMilli: number;
  readonly equallyGood: boolean;
  /** What the second costs more, by term; terms that cost the same are left out. Largest differences first. */
  readonly terms: readonly { readonly name: TermName; readonly milli: number }[];
  /** `costs 0.6 more: crosses once less, but 4 goes under where 3 could`; the three gravest reasons each way. */
  readonly words: string;
}

/** Compares two fingerings of a hand: what `b` costs more or less than `a`, by term and in words. */
export function compareSolutions(hand: WrittenHand, a: Solution, b: Solution): Comparison {
  return compare(a, b, (events) => (events.length === 0 ? "" : barList(hand, events)), hand);
}

/** Names the bars of events; nothing when the sentence says already where it is about. */
type BarsOf = (events: readonly number[]) => string;

/** At most so many reasons are named for and against. */
const mostReasons = 3;

const joints: readonly (Joint & TermName)[] = ["separate", "overlap", "cross"];

/** @param from the hand's event that is the first of both solutions. */
function compare(a: Solution, b: Solution, bars: BarsOf, hand: WrittenHand, from = 0): Comparison {
  const differenceMilli = b.totalMilli - a.totalMilli;
  const changes = termChanges(a, b, bars);
  const reasons: { words: string; milli: number }[] = [];
  const swapped = swappedJoints(a, b);
  if (swapped) {
    const milli = changes.filter(({ change }) => joints.some((joint) => joint === change.name));
    reasons.push({ words: swapped, milli: milli.reduce((total, each) => total + each.milli, 0) });
  }
  const harder = harderCrossing(hand, a, b, from);
  for (const { change, milli } of changes) {
    if (swapped && joints.some((joint) => joint === change.name)) continue;
    // The weak finger of a crossing is told with the crossing.
    const words = harder && change.name === "weakFinger" && milli > 0 ? harder : changeWords(change);
    reasons.push({ words, milli });
  }
  reasons.sort((x, y) => Math.abs(y.milli) - Math.abs(x.milli));
  const named = (sign: number): string[] =>
    reasons
      .filter(({ milli }) => Math.sign(milli) === sign)
      .map(({ words }) => words)
      .slice(0, mostReasons);
  const words = [named(-1).join(", "), named(1).join(", and ")].filter((part) => part !== "").join(", but ");
  return {
    differenceMilli,
    equallyGood: Math.abs(differenceMilli) < equallyGoodBelowMilli,
    terms: changes.map(({ change, milli }) => ({ name: change.name, milli })),
    words: words === "" ? verdict(differenceMilli) : `${verdict(differenceMilli)}: ${words}`,
  };
}

/** Largest differences first. */
function termChanges(a: Solution, b: Solution, bars: BarsOf): { change: TermChange; milli: number }[] {
  const before = occurrences(a);
  const after = occurrences(b);
  const changes: { change: TermChange; milli: number }[] = [];
  for (const name of new Set([...before.keys(), ...after.keys()])) {
    const was = before.get(name) ?? [];
    const is = after.get(name) ?? [];
    const milli = sum(is) - sum(was);
    if (milli === 0) continue;
    const more = milli > 0;
    const where = bars(more ? onlyIn(is, was) : onlyIn(was, is));
    const at = where === "" ? "" : ` at ${where}`;
    changes.push({ change: { name, more, count: Math.abs(is.length - was.length), at }, milli });
  }
  return changes.sort((x, y) => Math.abs(y.milli) - Math.abs(x.milli));
}

/** In words, when some joints of one kind became as many of another and all else is as it was. */
function swappedJoints(a: Solution, b: Solution): string | undefined {
  const uses = (solution: Solution, joint: Joint): number =>
    solution.placings.filter((placing) => placing.joint === joint).length;
  const changes = joints.map((joint) => ({ joint, by: uses(b, joint) - uses(a, joint) }));
  const more = changes.find(({ by }) => by > 0);
  const fewer = changes.find(({ by }) => by < 0);
  const other = changes.find((change) => change !== more && change !== fewer);
  if (!more || !fewer || other?.by !== 0 || more.by + fewer.by !== 0) return undefined;
  return insteadWords(more.joint, fewer.joint, more.by);
}

function verdict(differenceMilli: number): string {
  if (differenceMilli === 0) return "costs the same";
  const amount = `costs ${unitsText(Math.abs(differenceMilli))} ${differenceMilli > 0 ? "more" : "less"}`;
  return Math.abs(differenceMilli) < equallyGoodBelowMilli ? `${amount} (equally good)` : amount;
}

interface Occurrence {
  readonly event: number;
  readonly milli: number;
}

/** Where each term is charged. */
function occurrences(solution: Solution): Map<TermName, Occurrence[]> {
  const found = new Map<TermName, Occurrence[]>();
  for (const { first, placingTerms, jointTerms } of solution.placings) {
    for (const { name, milli } of [...placingTerms, ...jointTerms]) {
      found.set(name, [...(found.get(name) ?? []), { event: first, milli }]);
    }
  }
  return found;
}

function sum(list: readonly Occurrence[]): number {
  return list.reduce((total, { milli }) => total + milli, 0);
}

/** The events where the first list charges more than the second. */
function onlyIn(list: readonly Occurrence[], other: readonly Occurrence[]): number[] {
  return list
    .filter(
      ({ event, milli }) => !other.some((candidate) => candidate.event === event && candidate.milli >= milli),
    )
    .map(({ event }) => event);
}

interface Crossing {
  readonly rising: boolean;
  /** The finger that goes under the thumb, or that the thumb goes over. */
  readonly finger: Finger;
}

/** The crossing that leads to a placing; undefined when none does. `from`: the hand's event at the solution's first. */
function crossingOf(hand: WrittenHand, solution: Solution, index: number, from = 0): Crossing | undefined {
  const placing = solution.placings[index]!;
  const previous = solution.placings[index - 1];
  if (placing.joint !== "cross" || !previous) return undefined;
  const low = hand.line.events[from + previous.last]!.notes[0]!.string;
  const high = hand.line.events[from + placing.first]!.notes[0]!.string;
  const rising = high > low;
  const finger = rising ? placing.fingers[0]?.[0] : previous.fingers[previous.fingers.length - 1]?.[0];
  return finger === undefined ? undefined : { rising, finger };
}

/** In words, when `b` crosses with 4 in more places and with 2 or 3 in fewer. */
function harderCrossing(hand: WrittenHand, a: Solution, b: Solution, from: number): string | undefined {
  const fingersOf = (solution: Solution): Crossing[] =>
    solution.placings
      .map((_, index) => crossingOf(hand, solution, index, from))
      .filter((crossing) => crossing !== undefined);
  const [was, is] = [fingersOf(a), fingersOf(b)];
  const uses = (list: readonly Crossing[], finger: Finger): number =>
    list.filter((crossing) => crossing.finger === finger).length;
  if (uses(is, 4) <= uses(was, 4)) return undefined;
  const easier = ([3, 2] as const).find((finger) => uses(is, finger) < uses(was, finger));
  if (easier === undefined) return undefined;
  const rising = is.some((crossing) => crossing.finger === 4 && crossing.rising);
  return rising
    ? `4 goes under where ${easier} could`
    : `the thumb goes over 4 where it could go over ${easier}`;
}

/** What one finger on one note would mean. */
export interface WeighedFinger {
  readonly finger: Finger;
  /** What it costs more than the fingering as it is, in thousandths; below 0 when it would be cheaper. */
  readonly moreMilli: number;
  readonly equallyGood: boolean;
  /** What it does otherwise, by term and in words. */
  readonly comparison: Comparison;
  /** All fingers of the stretch that would change, from `first` on. */
  readonly first: number;
  readonly fingers: readonly (readonly (Finger | undefined)[])[];
}

/** The weighing of one note's finger. */
export interface WeighedChoice {
  readonly hand: HandName;
  readonly bar: string;
  readonly beat: string;
  readonly pitch: string;
  /** The finger it has in the fingering that it is weighed in. */
  readonly current: Finger | undefined;
  /** The current finger first, then the others, cheapest first; fingers that the note cannot get are left out. */
  readonly choices: readonly WeighedFinger[];
  /** The cheapest finger other than the current one. */
  readonly alternative: WeighedFinger | undefined;
  /** A sentence for the note and one for each finger. */
  readonly lines: readonly string[];
}

/** What a note is weighed in. */
export interface WeighOptions {
  /** The fingering as it is; the best one that keeps what is printed when left out. */
  readonly solution?: Solution;
  /** What of the print stays within the stretch that is free to change; nothing when left out. */
  readonly keep?: Keep;
}

const keepNothing: Keep = { fingers: () => false, placings: () => false };

/**
 * Weighs the fingers that one note can have. The placings that hold the note and those next to them follow along as
 * cheaply as they can; the rest of the line stays as it is.
 *
 * @param event, stringAt the note: `hand.line.events[event].notes[stringAt]`.
 * Time: five searches of a stretch of some thirty events, and one look through the line's printed fingers.
 */
export function weighChoice(
  hand: WrittenHand,
  event: number,
  stringAt: number,
  weights: Weights,
  options: WeighOptions = {},
): WeighedChoice {
  const solution = options.solution ?? refinger(hand, weights);
  const { line, from, decided } = freeAround(hand, solution, event, stringAt, options.keep ?? keepNothing);
  const asItIs = solve(decided, weights);
  const current = solution.fingers[event]?.[stringAt];
  const place = placeOf(hand, event);
  const bars: BarsOf = (events) => {
    const own = events.map((at) => at + from);
    return own.every((at) => placeOf(hand, at).bar === place.bar) ? "" : barList(hand, own);
  };
  const choices: WeighedFinger[] = [];
  for (const finger of allFingers) {
    const found = solve(withLock(line, event - from, stringAt, finger), weights);
    if (found.fingers[event - from]?.[stringAt] !== finger) continue;
    const comparison = compare(asItIs, found, bars, hand, from);
    choices.push({
      finger,
      moreMilli: comparison.differenceMilli,
      equallyGood: comparison.equallyGood,
      comparison,
      first: from,
      fingers: found.fingers,
    });
  }
  choices.sort(
    (a, b) => Number(b.finger === current) - Number(a.finger === current) || a.moreMilli - b.moreMilli,
  );
  const alternative = choices.find(({ finger }) => finger !== current);
  const pitch = pitchName(hand.line.events[event]!.notes[stringAt]!.note.pitch);
  return {
    hand: hand.hand,
    ...place,
    pitch,
    current,
    choices,
    alternative,
    lines: [
      `${placeName(hand, event)}, ${hand.hand} hand, ${pitch}: ${current === undefined ? "no finger" : `finger ${current}`}`,
      ...choices
        .filter(({ finger, moreMilli }) => finger !== current || moreMilli < 0)
        .map(({ finger, comparison }) => choiceLine(finger, finger === current, comparison)),
    ],
  };
}

function choiceLine(finger: Finger, current: boolean, comparison: Comparison): string {
  return current
    ? `${finger} with other fingers around it ${comparison.words}.`
    : `${finger} instead ${comparison.words}.`;
}

/**
 * The closest call within a placing: the note and finger that would cost least to change to.
 * @returns undefined when no other finger is possible anywhere in it.
 */
export function closestChoice(
  hand: WrittenHand,
  solution: Solution,
  index: number,
  weights: Weights,
  keep: Keep,
): { readonly choice: WeighedChoice; readonly alternative: WeighedFinger } | undefined {
  const placing = solution.placings[index]!;
  let best: { choice: WeighedChoice; alternative: WeighedFinger } | undefined;
  // A pivot has been weighed with the placing before.
  const from = placing.joint === "overlap" ? placing.first + 1 : placing.first;
  for (let event = from; event <= placing.last; event += 1) {
    hand.line.events[event]!.notes.forEach((_, stringAt) => {
      if (keep.fingers(event) && hand.fingers[event]?.[stringAt] !== undefined) return;
      const choice = weighChoice(hand, event, stringAt, weights, { solution, keep });
      const { alternative } = choice;
      if (alternative && (!best || alternative.moreMilli < best.alternative.moreMilli)) {
        best = { choice, alternative };
      }
    });
  }
  return best;
}

/**
 * How many events beyond the free stretch a search must see, so that all that weighs in the stretch is as in the
 * whole line: a joint looks at the times of four events on each side, and a time ends at the event after.
 */
const marginEvents = 6;

interface Stretch {
  /** Cut from the hand's line; all around the free part is decided. */
  readonly line: FingeringLine;
  /** The same with the free part decided too, as it is. */
  readonly decided: FingeringLine;
  /** The hand's event that is the stretch's first. */
  readonly from: number;
}

function freeAround(
  hand: WrittenHand,
  solution: Solution,
  event: number,
  stringAt: number,
  keep: Keep,
): Stretch {
  const { placings } = solution;
  const holding = placings.flatMap((placing, i) => (holds(placing, event) ? [i] : []));
  const firstFree = Math.max(0, holding[0]! - 1);
  const lastFree = Math.min(placings.length - 1, holding[holding.length - 1]! + 1);
  const inside = placings.slice(firstFree, lastFree + 1);
  const firstSeen = reachBack(placings, firstFree);
  const lastSeen = reachOn(placings, lastFree);
  const seen = placings.slice(firstSeen, lastSeen + 1);
  const from = seen[0]!.first;
  const to = seen[seen.length - 1]!.last;
  const { events } = searchLine({ ...hand.line, events: hand.line.events.slice(from, to + 1) });
  const outside = seen.filter((placing) => !inside.includes(placing));
  const printed = locksOf(hand, keep);
  const isDecided = (at: number): boolean => outside.some((placing) => holds(placing, at));
  const shifted = (list: readonly { first: number; last: number }[]): { first: number; last: number }[] =>
    list.map(({ first, last }) => ({ first: first - from, last: last - from }));
  const freeFirst = inside[0]!.first;
  const freeLast = inside[inside.length - 1]!.last;
  const printedInside = printed.placings.filter(({ first, last }) => first >= freeFirst && last <= freeLast);
  const placingLocks = [...outside, ...printedInside].sort((a, b) => a.first - b.first || a.last - b.last);
  const fingerLocks = events.map((_, i) => {
    if (isDecided(from + i)) return solution.fingers[from + i];
    const row = printed.fingers[from + i];
    return from + i === event ? row?.map((finger, j) => (j === stringAt ? undefined : finger)) : row;
  });
  return {
    from,
    line: { hand: hand.hand, events, locks: { fingers: fingerLocks, placings: shifted(placingLocks) } },
    decided: {
      hand: hand.hand,
      events,
      locks: { fingers: solution.fingers.slice(from, to + 1), placings: shifted(seen) },
    },
  };
}

function holds(placing: Placing, event: number): boolean {
  return placing.first <= event && event <= placing.last;
}

function reachBack(placings: readonly Placing[], index: number): number {
  let at = index;
  while (at > 0 && placings[index]!.first - placings[at]!.first < marginEvents) at -= 1;
  return at;
}

function reachOn(placings: readonly Placing[], index: number): number {
  let at = index;
  while (at < placings.length - 1 && placings[at]!.last - placings[index]!.last < marginEvents) at += 1;
  return at;
}
