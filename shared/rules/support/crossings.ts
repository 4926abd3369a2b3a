import type { Finger, Solution } from "../../fingering/model.ts";
import type { WrittenHand } from "../../fingering/written.ts";
import type { Edit } from "../../text/edits.ts";
import type { RuleInput } from "../define.ts";
import { isEasierForBoth } from "./bothHands.ts";
import { bracketEdits, digitEdits, fingersIn } from "./fixes.ts";
import { isMetricGroup } from "./metre.ts";
import { bracketsTouching, printedBrackets } from "./printedBrackets.ts";
import { hasSpecialSound, notesOf } from "./printedPlacings.ts";
import { disputedEvents, fingeredAlike } from "./returns.ts";
import { allOutside, allPrinted, costs, type EventRange, solveAround, tellingMilli } from "./solveAround.ts";

/** Where the print crosses from one group of a run to the next. */
export interface Crossing {
  /** The last event of the group before; the next one is crossed to. */
  readonly event: number;
  /** The finger that goes under the thumb, or that the thumb goes over. */
  readonly finger: Finger;
  /** To the neighbouring string it is 1. */
  readonly steps: number;
}

/** Single notes that go one way, all with fingers, which cross somewhere. */
export interface CrossedRun extends EventRange {
  readonly rising: boolean;
  readonly crossings: readonly Crossing[];
}

/**
 * What is wrong with a crossed run, the gravest first: it crosses over a skip where it could cross between neighbours;
 * it crosses more often than it has to; it crosses with 4 where another finger would do with as many crossings.
 */
export type CrossingFault = "skip" | "tooMany" | "fourth";

/** A run that can be grouped in a tellingly easier way, and the places where it comes again just so. */
export interface CrossedBadly {
  readonly fault: CrossingFault;
  readonly first: RegroupedRun;
  /** The same figure, in order of time. */
  readonly others: readonly RegroupedRun[];
}

export interface RegroupedRun {
  readonly hand: WrittenHand;
  readonly run: CrossedRun;
  /** The crossing that is told about. */
  readonly crossing: Crossing;
  /** What is printed around it that changes with it. */
  readonly range: EventRange;
  readonly better: Solution;
  /** In the better way. */
  readonly betterJoints: readonly Crossing[];
}

const known = new WeakMap<RuleInput["hands"], readonly CrossedBadly[]>();

/** The crossings that are better done otherwise, each run told once. Worked out once for a score. */
export function badCrossings(input: RuleInput): readonly CrossedBadly[] {
  let found = known.get(input.hands);
  if (!found) {
    found = findBadCrossings(input);
    known.set(input.hands, found);
  }
  return found;
}

function findBadCrossings(input: RuleInput): CrossedBadly[] {
  const bad: { fault: CrossingFault; place: RegroupedRun }[] = [];
  const wellDone = new Set<string>();
  for (const hand of input.hands) {
    for (const run of crossedRuns(input, hand)) {
      const found = isDoubtful(hand, run) ? weighed(input, hand, run) : undefined;
      if (found) bad.push(found);
      else for (const crossing of run.crossings) wellDone.add(groupsKey(hand, run, crossing));
    }
  }
  const inBadRuns = new Set(
    bad.flatMap(({ place: { hand, run } }) => eventsOf(run).map((event) => `${hand.hand} ${event}`)),
  );
  const disputed = bad.length > 0 ? disputedEvents(input) : new Set<string>();
  const groups = new Map<string, CrossedBadly & { readonly others: RegroupedRun[] }>();
  for (const { fault, place } of bad) {
    // Groups that are right elsewhere are kept where they come again.
    if (fault === "fourth" && wellDone.has(groupsKey(place.hand, place.run, place.crossing))) continue;
    if (isTied(input, place, inBadRuns) || isDisputed(place, disputed)) continue;
    const key = `${place.hand.hand} ${fault} ${figureKey(place.hand, place.run)}`;
    const group = groups.get(key);
    if (group) group.others.push(place);
    else groups.set(key, { fault, first: place, others: [] });
  }
  return [...groups.values()];
}

/** A note that would get another finger comes back elsewhere, fingered alike, in a run that is right. */
function isTied(input: RuleInput, place: RegroupedRun, inBadRuns: ReadonlySet<string>): boolean {
  return changedEvents(place).some((event) =>
    fingeredAlike(input, place.hand, event).some(
      (other) => !inBadRuns.has(`${other.hand.hand} ${other.event}`),
    ),
  );
}

/** A note that would get another finger is fingered in two ways where its passage comes back: that is told by itself. */
function isDisputed(place: RegroupedRun, disputed: ReadonlySet<string>): boolean {
  return changedEvents(place).some((event) => disputed.has(`${place.hand.hand} ${event}`));
}

function changedEvents({ hand, run, better }: RegroupedRun): number[] {
  return eventsOf(run).filter((event) => better.fingers[event]![0] !== hand.fingers[event]![0]);
}

function eventsOf({ first, last }: EventRange): number[] {
  return Array.from({ length: last - first + 1 }, (_, i) => first + i);
}

function crossedRuns(input: RuleInput, hand: WrittenHand): CrossedRun[] {
  const runs: CrossedRun[] = [];
  const count = hand.line.events.length;
  for (let first = 0; first + 1 < count; ) {
    const way = wayTo(input, hand, first + 1);
    let last = first;
    while (way !== 0 && last + 1 < count && wayTo(input, hand, last + 1) === way) last += 1;
    if (last === first) {
      first += 1;
      continue;
    }
    const crossings: Crossing[] = [];
    for (let event = first; event < last; event += 1) {
      const crossing = crossingAfter(input, hand, event);
      if (crossing) crossings.push(crossing);
    }
    if (crossings.length > 0) runs.push({ first, last, rising: way > 0, crossings });
    first = last;
  }
  return runs;
}

/**
 * 1 or -1 when this event and the one before it are single fingered notes that rise or fall; 0 otherwise, or when there
 * is so much time between them that the hand comes off.
 */
function wayTo({ weights }: RuleInput, { line, fingers }: WrittenHand, event: number): number {
  const [before, here] = [line.events[event - 1]!, line.events[event]!];
  if (here.atMicros - before.atMicros >= weights.hold.fromMicros) return 0;
  if (before.notes.length !== 1 || here.notes.length !== 1 || here.cutBefore || before.grace) return 0;
  if (fingers[event - 1]![0] === undefined || fingers[event]![0] === undefined) return 0;
  return Math.sign(here.notes[0]!.string - before.notes[0]!.string);
}

function crossingAfter(input: RuleInput, hand: WrittenHand, event: number): Crossing | undefined {
  const [here, next] = [hand.line.events[event]!, hand.line.events[event + 1]!];
  const [finger, nextFinger] = [hand.fingers[event]![0]!, hand.fingers[event + 1]![0]!];
  const steps = next.notes[0]!.string - here.notes[0]!.string;
  const crosses = steps > 0 ? finger === 1 && nextFinger > 1 : finger > 1 && nextFinger === 1;
  if (!crosses || Math.abs(steps) > input.weights.crossAtMostSteps) return undefined;
  if (Math.abs(steps) > 1 && isDrawnApart(hand, event)) return undefined;
  return { event, finger: steps > 0 ? nextFinger : finger, steps: Math.abs(steps) };
}

/** The next group has a bracket, and none reaches over to it: over a skip that means to come off. */
function isDrawnApart({ placings, brackets }: WrittenHand, event: number): boolean {
  return (
    placings.some(({ first, last, fromPivot }) => first === event + 1 && last > first && !fromPivot) &&
    !brackets.brackets.some(({ first, last }) => first <= event && last > event)
  );
}

/** What a look at the print tells: only such runs are worth a search. */
function isDoubtful(hand: WrittenHand, run: CrossedRun): boolean {
  const { first, last, rising, crossings } = run;
  const top = rising ? last : first;
  if (hand.fingers[top]![0] !== 1 && isUpperTurn(hand, top)) return false;
  if (hasSpecialSound(notesOf(hand, first, last))) return false;
  const leastCrossings = Math.ceil((last - first + 1) / 4) - 1;
  return (
    crossings.some((crossing) => crossing.steps > 1 || isWeak(hand, run, crossing)) ||
    (crossings.length > leastCrossings && !isMetric(hand, run))
  );
}

/** The turning note has its own rule. */
function isUpperTurn({ line }: WrittenHand, event: number): boolean {
  const top = line.events[event]!.notes[0]!.string;
  return [event - 1, event + 1].every((at) => {
    const notes = line.events[at]?.notes;
    return notes !== undefined && notes[notes.length - 1]!.string < top;
  });
}

/** Crosses with 4, and not because four notes fill a beat. */
function isWeak(hand: WrittenHand, { rising }: CrossedRun, { event, finger }: Crossing): boolean {
  if (finger !== 4) return false;
  const group = rising ? { first: event + 1, last: event + 4 } : { first: event - 3, last: event };
  return group.first < 0 || !isMetricGroup(hand, group);
}

/** Every group, the first and the last left out, fills a beat: so they are meant. */
function isMetric(hand: WrittenHand, { first, last, crossings }: CrossedRun): boolean {
  const starts = [first, ...crossings.map(({ event }) => event + 1)];
  const groups = starts.map((start, i) => ({ first: start, last: (starts[i + 1] ?? last + 1) - 1 }));
  return groups.slice(crossings.length > 1 ? 1 : 0, -1).every((group) => isMetricGroup(hand, group));
}

function weighed(
  input: RuleInput,
  hand: WrittenHand,
  run: CrossedRun,
): { fault: CrossingFault; place: RegroupedRun } | undefined {
  const range = { first: run.first, last: run.last };
  for (const { first, last } of bracketsTouching(input, hand, run.first, run.last)) {
    if (first >= run.last || last <= run.first) continue;
    range.first = Math.min(range.first, first);
    range.last = Math.max(range.last, last);
  }
  const printed = solveAround(input, hand, range, allPrinted);
  if (costs(printed, range, ["lock"])) return undefined;
  const better = solveAround(input, hand, range, allOutside(run, range));
  if (better.totalMilli + tellingMilli > printed.totalMilli || costs(better, range, ["lock"]))
    return undefined;
  if (!isEasierForBoth(input, hand, range, better)) return undefined;
  const betterJoints = jointsIn(hand, run, better);
  const skips = (list: readonly Crossing[]): Crossing[] => list.filter(({ steps }) => steps > 1);
  const fourths = (list: readonly Crossing[]): Crossing[] => list.filter(({ finger }) => finger === 4);
  const { crossings } = run;
  const told = (fault: CrossingFault, crossing: Crossing | undefined) =>
    crossing && { fault, place: { hand, run, crossing, range, better, betterJoints } };
  if (skips(betterJoints).length < skips(crossings).length) return told("skip", skips(crossings)[0]);
  if (betterJoints.length < crossings.length)
    return isMetric(hand, run) ? undefined : told("tooMany", crossings[0]);
  if (betterJoints.length > crossings.length || fourths(betterJoints).length >= fourths(crossings).length)
    return undefined;
  return told(
    "fourth",
    crossings.find((crossing) => isWeak(hand, run, crossing)),
  );
}

/** The joints of a solution inside a run, as if all were crossings. */
function jointsIn(hand: WrittenHand, run: CrossedRun, { placings, fingers }: Solution): Crossing[] {
  return placings
    .filter(({ first, joint }) => first > run.first && first <= run.last && joint !== "overlap")
    .map(({ first }) => {
      const [before, here] = [hand.line.events[first - 1]!, hand.line.events[first]!];
      return {
        event: first - 1,
        finger: fingers[run.rising ? first : first - 1]![0]!,
        steps: Math.abs(here.notes[0]!.string - before.notes[0]!.string),
      };
    });
}

/** What the two groups on both sides of a crossing are, on whatever strings. */
function groupsKey(hand: WrittenHand, run: CrossedRun, { event }: Crossing): string {
  const others = run.crossings.map((crossing) => crossing.event);
  const first = Math.max(run.first, ...others.filter((other) => other < event).map((other) => other + 1));
  const last = Math.min(run.last, ...others.filter((other) => other > event));
  return `${event - first} ${figureKey(hand, { first, last })}`;
}

/** Intervals, fingers and lengths, on whatever strings. */
function figureKey({ line, fingers }: WrittenHand, { first, last }: EventRange): string {
  const base = line.events[first]!.notes[0]!.string;
  const parts: string[] = [];
  for (let event = first; event <= last; event += 1) {
    const { string, note } = line.events[event]!.notes[0]!;
    parts.push(`${string - base}:${fingers[event]![0]}/${note.duration.n}/${note.duration.d}`);
  }
  return parts.join(" ");
}

/** The edits that group all places of a run in the better way: brackets where there are some, else fingers only. */
export function regroupedEdits(input: RuleInput, { first, others }: CrossedBadly): readonly Edit[] {
  return [first, ...others].flatMap(({ hand, run, range, better }) => {
    const bracketed = printedBrackets(input, hand).some(
      ({ bracket }) => bracket.first < run.last && bracket.last > run.first,
    );
    if (bracketed) return bracketEdits(input, hand, better, range);
    const fingered = notesOf(hand, run.first, run.last).filter(({ finger }) => finger !== undefined);
    return digitEdits(input, hand, fingersIn(better, fingered));
  });
}
