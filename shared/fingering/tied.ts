import { type Alike, alikeBy } from "./alike.ts";
import {
  type BothSolutions,
  costOf,
  cutOut,
  type HandLinesToSolve,
  type Occurrence,
  timesAround,
} from "./bothHands.ts";
import type { Finger, FingeringLine, HandName, Locks, Solution } from "./model.ts";
import { SearchTables } from "./searchTables.ts";
import { SolutionMemory } from "./solutionMemory.ts";
import type { Weights } from "./weights.ts";

/** Places of one passage: as many events in each, with as many strings in each event. */
export interface Tie {
  readonly occurrences: readonly Occurrence[];
  /** A passage is left untied when that saves more than this, in thousandths; without it, it is tied at any cost. */
  readonly atMostMilli?: number;
}

/** A fingering in which every passage is fingered alike wherever it comes back. */
export interface TiedSolution {
  readonly right?: Solution;
  readonly left?: Solution;
  readonly totalMilli: number;
  /**
   * What the best fingering without ties costs; searched when asked for. `totalMilli − freeMilli` bounds what
   * consistency costs.
   */
  readonly freeMilli: number;
  /** The passages whose common fingering, or its lack, is proven the cheapest around them; the others are good. */
  readonly proven: readonly boolean[];
}

/** Events beside a passage that its common fingering is chosen with. */
const contextEvents = 8;
/** Events to search for one passage, at most, over all that is tried. */
const mostEventsSearched = 4_000;

/**
 * Fingers hands so that passages which come back have one fingering and one division into placings.
 *
 * Passage by passage, those with the most places first, the common fingering is found that costs least in all its surroundings
 * together: where the free optimum fingers two places otherwise, each way to settle that one event is tried, the most
 * promising first, until all places agree (branch and bound; the free optimum of what is left open is the bound).
 * Surroundings are eight events on each side, in both hands. At the end both hands are searched as a whole.
 *
 * @param ties passages; printed decisions of the lines go before them, and where two places of a passage are printed
 *             otherwise, those events stay as they are.
 * @param memory what earlier searches found.
 */
export function solveTied(
  lines: HandLinesToSolve,
  ties: readonly Tie[],
  weights: Weights,
  memory = new SolutionMemory(),
): TiedSolution {
  const proven: boolean[] = ties.map(() => true);
  let tied = lines;
  const alike = alikeBy(ties.filter((tie) => tie.atMostMilli === undefined));
  const inOrder = ties.map((tie, index) => ({ tie, index })).sort((a, b) => beforeOther(a.tie, b.tie));
  for (const { tie, index } of inOrder) {
    if (isDecided(tied, tie)) continue;
    const result = new TieSearch(tied, tie, weights, memory).run();
    proven[index] = result.proven;
    tied = withTie(tied, tie, result.choice, alike);
  }
  const solution = memory.solveBoth(tied, weights);
  return {
    ...solution,
    totalMilli: costOf(solution),
    get freeMilli() {
      return costOf(memory.solveBoth(lines, weights));
    },
    proven,
  };
}

/** Every finger of every place is printed or settled already. */
function isDecided(lines: HandLinesToSolve, tie: Tie): boolean {
  return tie.occurrences.every(({ hand, first, last }) => {
    const line = lines[hand]!;
    for (let event = first; event <= last; event += 1) {
      const row = line.locks?.fingers[event];
      if (!row || !line.events[event]!.strings.every((_, j) => row[j] !== undefined)) return false;
    }
    return true;
  });
}

/**
 * Ties that hold at any cost come first. Of two, the one with more places: what comes back most often may stand several
 * times within a longer passage, and would be settled otherwise in each of its places if that came first.
 */
function beforeOther(a: Tie, b: Tie): number {
  const optional = (tie: Tie): number => (tie.atMostMilli === undefined ? 0 : 1);
  return (
    optional(a) - optional(b) || b.occurrences.length - a.occurrences.length || lengthOf(a) - lengthOf(b)
  );
}

function lengthOf({ occurrences: [first] }: Tie): number {
  return first ? first.last - first.first + 1 : 0;
}

/** What has been settled for a passage: by event of the passage, and by string within it. */
interface TieChoice {
  readonly fingers: readonly (readonly (Finger | undefined)[] | undefined)[];
  readonly joined: readonly (boolean | undefined)[];
}

/** An event, or the step after it, at which the places of a passage do not agree. */
type Disagreement =
  | { readonly kind: "finger"; readonly at: number; readonly stringAt: number }
  | { readonly kind: "joined"; readonly at: number };

interface Candidate {
  readonly choice: TieChoice;
  /** The best fingering of each window that keeps the choice. */
  readonly solved: readonly BothSolutions[];
  readonly milli: number;
  readonly disagreement: Disagreement | undefined;
}

class TieSearch {
  readonly #tie: Tie;
  readonly #weights: Weights;
  readonly #memory: SolutionMemory;
  readonly #windows: readonly Window[];
  readonly #length: number;
  /** Events of the passage that are printed otherwise in two places. */
  readonly #leftAlone: ReadonlySet<number>;
  #eventsSearched = 0;

  constructor(lines: HandLinesToSolve, tie: Tie, weights: Weights, memory: SolutionMemory) {
    this.#tie = tie;
    this.#weights = weights;
    this.#memory = memory;
    const [first] = tie.occurrences;
    this.#length = first ? first.last - first.first + 1 : 0;
    this.#leftAlone = printedOtherwise(lines, tie, this.#length);
    this.#windows = windowsAround(lines, tie, weights);
  }

  run(): { choice: TieChoice; proven: boolean } {
    const nothing = nothingSettled(this.#length);
    const free = this.#try(nothing, undefined);
    if (!free.disagreement) return { choice: free.choice, proven: true };
    // Printed brackets that disagree cannot be reconciled: then, too, the passage stays as it is.
    const mostMilli = Math.min(
      this.#tie.atMostMilli ?? Number.POSITIVE_INFINITY,
      this.#weights.lockBroken - 1,
    );
    const open: Candidate[] = [free];
    let best = this.#bestModel(free);
    let proven = false;
    while (open.length > 0 && this.#eventsSearched < mostEventsSearched) {
      const next = takeLeast(open);
      if (next.milli - free.milli > mostMilli) return { choice: nothing, proven: true };
      if (next.milli >= best.milli || !next.disagreement) {
        if (next.milli < best.milli) best = next;
        proven = true;
        break;
      }
      for (const choice of settled(next.choice, next.disagreement)) open.push(this.#try(choice, next));
    }
    const tooDear = best.milli - free.milli > mostMilli;
    return tooDear ? { choice: nothing, proven } : { choice: best.choice, proven };
  }

  /** The best of the fingerings that single places have by themselves, given to all. */
  #bestModel(free: Candidate): Candidate {
    const models = new Map<string, TieChoice>();
    this.#tie.occurrences.forEach((_, k) => {
      const model = this.#complete(free.solved, k);
      models.set(JSON.stringify(model), model);
    });
    return [...models.values()]
      .map((model) => this.#try(model, free))
      .reduce((a, b) => (b.milli < a.milli ? b : a));
  }

  /** @param looser a candidate that has settled less: where its fingering keeps the choice, it is still the best. */
  #try(choice: TieChoice, looser: Candidate | undefined): Candidate {
    const solved = this.#windows.map((window, w) => {
      const before = looser?.solved[w];
      if (before && window.occurrences.every(({ occurrence }) => keeps(before, occurrence, choice)))
        return before;
      let { lines } = window;
      for (const { occurrence } of window.occurrences) lines = withOccurrence(lines, occurrence, choice);
      this.#eventsSearched += (lines.right?.events.length ?? 0) + (lines.left?.events.length ?? 0);
      return this.#memory.solveBoth(lines, this.#weights, window.tables);
    });
    const milli = solved.reduce((sum, window) => sum + costOf(window), 0);
    const full = this.#tie.occurrences.map((_, k) => this.#complete(solved, k));
    const disagreement = this.#firstDisagreement(full);
    return { choice: disagreement ? choice : full[0]!, solved, milli, disagreement };
  }

  /** What a solution has for one place of the passage. */
  #complete(solved: readonly BothSolutions[], k: number): TieChoice {
    for (let w = 0; w < this.#windows.length; w += 1) {
      const found = this.#windows[w]!.occurrences.find(({ index }) => index === k);
      if (!found) continue;
      const { hand, first, last } = found.occurrence;
      const solution = solved[w]![hand]!;
      const events = Array.from({ length: this.#length }, (_, j) => first + j);
      return {
        fingers: events.map((event, j) => (this.#leftAlone.has(j) ? undefined : solution.fingers[event])),
        joined: events.map((event) => (event === last ? undefined : isJoined(solution, event))),
      };
    }
    throw new Error("a place of a passage lies in no window");
  }

  #firstDisagreement(full: readonly TieChoice[]): Disagreement | undefined {
    const [model, ...others] = full;
    for (let at = 0; at < this.#length; at += 1) {
      const row = model!.fingers[at];
      for (let stringAt = 0; row && stringAt < row.length; stringAt += 1) {
        if (others.some((other) => other.fingers[at]?.[stringAt] !== row[stringAt])) {
          return { kind: "finger", at, stringAt };
        }
      }
      if (others.some((other) => other.joined[at] !== model!.joined[at])) return { kind: "joined", at };
    }
    return undefined;
  }
}

function nothingSettled(length: number): TieChoice {
  return { fingers: Array.from({ length }), joined: Array.from({ length }) };
}

/** Every way to settle one disagreement. */
function settled(choice: TieChoice, disagreement: Disagreement): TieChoice[] {
  if (disagreement.kind === "joined") {
    return [true, false].map((value) => {
      const joined = [...choice.joined];
      joined[disagreement.at] = value;
      return { fingers: choice.fingers, joined };
    });
  }
  return ([1, 2, 3, 4] as const).map((finger) => {
    const fingers = [...choice.fingers];
    const row = [...(fingers[disagreement.at] ?? [])];
    row[disagreement.stringAt] = finger;
    fingers[disagreement.at] = row;
    return { fingers, joined: choice.joined };
  });
}

function takeLeast(open: Candidate[]): Candidate {
  let least = 0;
  for (let i = 1; i < open.length; i += 1) if (open[i]!.milli < open[least]!.milli) least = i;
  return open.splice(least, 1)[0]!;
}

/** Whether a solution has at this place all that the choice settles. */
function keeps(solved: BothSolutions, { hand, first }: Occurrence, choice: TieChoice): boolean {
  const solution = solved[hand]!;
  return (
    choice.fingers.every((row, at) => {
      const own = solution.fingers[first + at]!;
      return !row || row.every((finger, j) => finger === undefined || finger === own[j]);
    }) && choice.joined.every((value, at) => value === undefined || value === isJoined(solution, first + at))
  );
}

function isJoined(solution: Solution, event: number): boolean {
  return solution.placings.some((placing) => placing.first <= event && placing.last > event);
}

/** Stretches of both hands that are searched by themselves, and the places of the passage that lie in them. */
interface Window {
  readonly lines: HandLinesToSolve;
  readonly tables: SearchTables;
  readonly occurrences: readonly { readonly index: number; readonly occurrence: Occurrence }[];
}

function windowsAround(lines: HandLinesToSolve, tie: Tie, weights: Weights): Window[] {
  const spans = tie.occurrences
    .map((occurrence, index) => {
      const { hand, first, last } = occurrence;
      return {
        ...timesAround(lines[hand]!, first, last, contextEvents),
        occurrences: [{ index, occurrence }],
      };
    })
    .sort((a, b) => a.from - b.from);
  const merged: { from: number; to: number; occurrences: (typeof spans)[number]["occurrences"] }[] = [];
  for (const span of spans) {
    const before = merged[merged.length - 1];
    if (before && span.from <= before.to) {
      before.to = Math.max(before.to, span.to);
      before.occurrences.push(...span.occurrences);
    } else {
      merged.push(span);
    }
  }
  return merged.map(({ from, to, occurrences }) => {
    const right = lines.right && cutOut(lines.right, from, to);
    const left = lines.left && cutOut(lines.left, from, to);
    const offsets = { right: right?.offset ?? 0, left: left?.offset ?? 0 };
    return {
      lines: { right: right?.line, left: left?.line },
      tables: new SearchTables(weights, mostEventsSearched),
      occurrences: occurrences.map(({ index, occurrence: { hand, first, last } }) => ({
        index,
        occurrence: { hand, first: first - offsets[hand], last: last - offsets[hand] },
      })),
    };
  });
}

/** Events of a passage with a printed finger or bracket in two places that do not agree. */
function printedOtherwise(lines: HandLinesToSolve, tie: Tie, length: number): Set<number> {
  const otherwise = new Set<number>();
  for (let at = 0; at < length; at += 1) {
    const rows = tie.occurrences.map(({ hand, first }) => lines[hand]!.locks?.fingers[first + at]);
    const strings = lines[tie.occurrences[0]!.hand]!.events[tie.occurrences[0]!.first + at]!.strings;
    for (let stringAt = 0; stringAt < strings.length; stringAt += 1) {
      const printed = new Set(rows.map((row) => row?.[stringAt]).filter((finger) => finger !== undefined));
      if (printed.size > 1) otherwise.add(at);
    }
  }
  return otherwise;
}

/** The lines with a passage's fingering decided at all its places, and at all that any tie makes alike with them. */
function withTie(lines: HandLinesToSolve, tie: Tie, choice: TieChoice, alike: Alike): HandLinesToSolve {
  const rows = copyLocks(lines);
  for (const { hand, first } of tie.occurrences) {
    choice.fingers.forEach((row, at) => {
      if (!row) return;
      for (const place of alike.events.with({ hand, event: first + at })) {
        const before = rows[place.hand].fingers[place.event];
        const { strings } = lines[place.hand]!.events[place.event]!;
        rows[place.hand].fingers[place.event] = strings.map((_, j) => before?.[j] ?? row[j]);
      }
    });
    choice.joined.forEach((value, at) => {
      if (value === undefined) return;
      for (const place of alike.steps.with({ hand, event: first + at })) {
        rows[place.hand].joined[place.event] ??= value;
      }
    });
  }
  const locked = (name: HandName): FingeringLine | undefined => {
    const line = lines[name];
    if (!line) return undefined;
    const { hand, events, jumps, locks } = line;
    const { fingers, joined } = rows[name];
    return { hand, events, jumps, locks: { fingers, placings: locks?.placings ?? noPlacings, joined } };
  };
  return { right: locked("right"), left: locked("left") };
}

interface LockRows {
  readonly fingers: (readonly (Finger | undefined)[] | undefined)[];
  readonly joined: (boolean | undefined)[];
}

function copyLocks(lines: HandLinesToSolve): Record<HandName, LockRows> {
  const rowsOf = (line: FingeringLine | undefined): LockRows => ({
    fingers: line?.events.map((_, i) => line.locks?.fingers[i]) ?? [],
    joined: line?.events.map((_, i) => line.locks?.joined?.[i]) ?? [],
  });
  return { right: rowsOf(lines.right), left: rowsOf(lines.left) };
}

/** One and the same for all lines, so that they are seen to have the same placings. */
const noPlacings: Locks["placings"] = [];

/** The lines with a passage's fingering decided at one of its places. What was decided there before stays. */
function withOccurrence(
  lines: HandLinesToSolve,
  occurrence: Occurrence,
  choice: TieChoice,
): HandLinesToSolve {
  const line = lines[occurrence.hand]!;
  const { locks } = line;
  const fingers = line.events.map((_, i) => locks?.fingers[i]);
  const joined = line.events.map((_, i) => locks?.joined?.[i]);
  choice.fingers.forEach((row, at) => {
    const event = occurrence.first + at;
    if (!row) return;
    const before = fingers[event];
    fingers[event] = line.events[event]!.strings.map((_, j) => before?.[j] ?? row[j]);
  });
  choice.joined.forEach((value, at) => {
    const event = occurrence.first + at;
    joined[event] ??= value;
  });
  const { hand, events, jumps } = line;
  const settled: FingeringLine = {
    hand,
    events,
    jumps,
    locks: { fingers, placings: locks?.placings ?? noPlacings, joined },
  };
  return hand === "right" ? { right: settled, left: lines.left } : { right: lines.right, left: settled };
}
