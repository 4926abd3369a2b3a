import { costOf, cutOut, type HandLinesToSolve, solveWithoutJumps } from "../fingering/bothHands.ts";
import type { FingeringLine, Solution } from "../fingering/model.ts";
import type { Weights } from "../fingering/weights.ts";
import { firstWhere } from "../text/firstWhere.ts";
import type { LeverNeed } from "./leverNeeds.ts";
import type { PlayedEvent } from "./playedNotes.ts";

/** How long a hand is away from the strings to move a lever. */
export interface LeverTimes {
  /** From its last note to the lever. */
  readonly reachMicros: number;
  /** From the lever to its next note. */
  readonly backMicros: number;
  /** For each lever more on the same way. */
  readonly nextMicros: number;
}

/** Estimates, from memory: calibrate them with the player. */
export const usualLeverTimes: LeverTimes = { reachMicros: 400_000, backMicros: 300_000, nextMicros: 400_000 };

/** A change with the moment that disturbs least. */
export interface PlannedChange {
  readonly need: LeverNeed;
  /** When the lever moves, from the start of the playing; undefined when the left hand has no time for it. */
  readonly atMicros: number | undefined;
  /** The event of the left hand before which it does so; undefined after its last, or when there is no time. */
  readonly before: number | undefined;
  /** The string still sounds when its lever is moved. */
  readonly rings: boolean;
}

/** Between two notes of the left hand. */
interface Slot {
  /** Its place among the left hand's played events: it lies before that one. */
  readonly index: number;
  /** When a lever can be moved in it, both included. */
  readonly from: number;
  readonly to: number;
}

/** A slot that can take a change, when it can, and whether the string has faded by then. */
interface Candidate extends Slot {
  readonly quiet: boolean;
}

/**
 * Chooses the moments at which the left hand moves the levers, so that the fingering of both hands costs least: the
 * hand comes off for it and no placing of it reaches over.
 *
 * @param needs  in the order of the notes that need them.
 * @param played what the left hand plucks, through all repeats, in order.
 * @param lines  both hands as the search sees them, with what is decided about them.
 * @returns one entry a need. Exact as long as changes whose moments could meet are few (at most `mostTogether` ways to
 *          choose them) and what is fingered more than `contextEvents` events away does not matter.
 */
export function planLevers(
  needs: readonly LeverNeed[],
  played: readonly PlayedEvent[],
  lines: HandLinesToSolve,
  weights: Weights,
  times: LeverTimes = usualLeverTimes,
): PlannedChange[] {
  return new Planner(played, lines, weights, times).plan(needs);
}

/** Moments further back than these notes before a change is needed are not looked at. */
const mostSlots = 16;
const contextEvents = 8;
const mostTogether = 64;

class Planner {
  readonly #played: readonly PlayedEvent[];
  readonly #lines: HandLinesToSolve;
  readonly #weights: Weights;
  readonly #times: LeverTimes;
  /** The changes that were put into a slot, by its index. */
  readonly #taken = new Map<number, LeverNeed[]>();

  constructor(played: readonly PlayedEvent[], lines: HandLinesToSolve, weights: Weights, times: LeverTimes) {
    this.#played = played;
    this.#lines = lines;
    this.#weights = weights;
    this.#times = times;
  }

  plan(needs: readonly LeverNeed[]): PlannedChange[] {
    const slots = new Map<LeverNeed, Candidate | undefined>();
    for (const group of meeting(needs, (need) => this.#candidates(need))) this.#choose(group, slots);
    return needs.map((need) => this.#planned(need, slots.get(need)));
  }

  /** The moments for one change, latest first. */
  #candidates(need: LeverNeed): Candidate[] {
    const played = this.#played;
    const [after, before] = [need.last.atMicros, need.next.atMicros];
    const found: Candidate[] = [];
    const latest = firstWhere(played.length, (k) => played[k]!.atMicros >= before);
    for (let index = latest; index >= 0 && index > latest - mostSlots; index -= 1) {
      const slot = this.#slot(index);
      if (slot.to < after) break;
      const from = Math.max(slot.from, after);
      const to = Math.min(slot.to, before);
      if (from <= to) found.push({ index, from, to, quiet: to >= need.last.untilMicros });
    }
    return found;
  }

  #slot(index: number): Slot {
    const [previous, next] = [this.#played[index - 1], this.#played[index]];
    return {
      index,
      from: previous ? previous.atMicros + this.#times.reachMicros : Number.NEGATIVE_INFINITY,
      to: next ? next.atMicros - this.#times.backMicros : Number.POSITIVE_INFINITY,
    };
  }

  #choose(group: readonly Choice[], slots: Map<LeverNeed, Candidate | undefined>): void {
    const ways = group.reduce((count, { candidates }) => count * (candidates.length + 1), 1);
    if (ways > mostTogether && group.length > 1) {
      for (const one of group) this.#choose([one], slots);
      return;
    }
    let best: readonly (Candidate | undefined)[] = [];
    let bestRank: readonly number[] | undefined;
    const relaxed = this.#relaxed(group);
    for (const way of combinations(group)) {
      if (!this.#fits(group, way)) continue;
      const rank = [
        way.filter((candidate) => !candidate).length,
        this.#costOf(way, relaxed),
        way.filter((candidate) => candidate && !candidate.quiet).length,
        -Math.min(...way.map((candidate) => (candidate ? candidate.to - candidate.from : 0))),
      ];
      if (bestRank && compareLists(rank, bestRank) >= 0) continue;
      best = way;
      bestRank = rank;
    }
    group.forEach(({ need }, i) => {
      const candidate = best[i];
      slots.set(need, candidate);
      if (candidate) this.#taken.set(candidate.index, [...(this.#taken.get(candidate.index) ?? []), need]);
    });
  }

  /** True when all changes in one slot can be made one after the other. */
  #fits(group: readonly Choice[], way: readonly (Candidate | undefined)[]): boolean {
    const slots = new Map<number, LeverNeed[]>();
    way.forEach((candidate, i) => {
      if (!candidate) return;
      const there = slots.get(candidate.index) ?? [...(this.#taken.get(candidate.index) ?? [])];
      slots.set(candidate.index, [...there, group[i]!.need]);
    });
    return [...slots].every(([index, all]) => this.#moments(index, all) !== undefined);
  }

  /** When each change in a slot is made, the most urgent first; undefined when there is no time for all. */
  #moments(index: number, all: readonly LeverNeed[]): Map<LeverNeed, number> | undefined {
    const slot = this.#slot(index);
    const moments = new Map<LeverNeed, number>();
    let free = slot.from;
    for (const need of all.toSorted((a, b) => a.next.atMicros - b.next.atMicros)) {
      const at = Math.max(free, need.last.atMicros);
      const latest = Math.min(slot.to, need.next.atMicros);
      if (at > latest) return undefined;
      // The calmest moment of a slot without an end or a beginning is the one nearest to its note.
      moments.set(need, Number.isFinite(at) ? at : latest);
      free = Math.max(at, free) + this.#times.nextMicros;
    }
    return moments;
  }

  /** The events of the left hand before which it comes off for a way to choose. */
  #freeBefore(way: readonly (Candidate | undefined)[]): Set<number> {
    const free = new Set<number>();
    for (const candidate of way) {
      const event = candidate && this.#writtenBefore(candidate.index);
      if (event !== undefined) free.add(event);
    }
    return free;
  }

  /** The event of the line before which a slot lies, where no barline is jumped over: there, nothing reaches over. */
  #writtenBefore(index: number): number | undefined {
    const [previous, next] = [this.#played[index - 1], this.#played[index]];
    return previous && next && previous.event + 1 === next.event ? next.event : undefined;
  }

  #costOf(way: readonly (Candidate | undefined)[], relaxed: Around | undefined): number {
    const free = this.#freeBefore(way);
    if (free.size === 0 || !relaxed) return 0;
    const { left, offset, lines, solution } = relaxed;
    if ([...free].every((event) => comesOff(solution, event - offset))) return 0;
    const events = left.events.map((event, i) =>
      free.has(offset + i) ? { ...event, handFreeBefore: true } : event,
    );
    return costOf(solveWithoutJumps({ ...lines, left: { ...left, events } }, this.#weights)) - relaxed.milli;
  }

  /** The music around a group's moments, and what it costs when no lever is moved. */
  #relaxed(group: readonly Choice[]): Around | undefined {
    const { left, right } = this.#lines;
    const events = group.flatMap(({ candidates }) =>
      candidates.map(({ index }) => this.#writtenBefore(index)).filter((event) => event !== undefined),
    );
    if (!left || events.length === 0) return undefined;
    const from = left.events[Math.max(0, Math.min(...events) - contextEvents)]!.atMicros;
    const to = left.events[Math.min(left.events.length - 1, Math.max(...events) + contextEvents)]!.atMicros;
    const around = cutOut(left, from, to)!;
    const lines: HandLinesToSolve = {
      left: around.line,
      right: right && cutOut(right, from, to)?.line,
    };
    const solutions = solveWithoutJumps(lines, this.#weights);
    return {
      left: around.line,
      offset: around.offset,
      lines,
      solution: solutions.left!,
      milli: costOf(solutions),
    };
  }

  #planned(need: LeverNeed, candidate: Candidate | undefined): PlannedChange {
    if (!candidate) return { need, atMicros: undefined, before: undefined, rings: false };
    const at = this.#moments(candidate.index, this.#taken.get(candidate.index)!)!.get(need)!;
    const faded = Math.min(need.last.untilMicros, candidate.to);
    const alone = this.#taken.get(candidate.index)!.length === 1;
    // A lever that is moved alone can wait until its string has faded.
    const atMicros = alone ? Math.max(at, faded) : at;
    return {
      need,
      atMicros,
      before: this.#played[candidate.index]?.event,
      rings: atMicros < need.last.untilMicros,
    };
  }
}

interface Choice {
  readonly need: LeverNeed;
  readonly candidates: readonly Candidate[];
}

/** A cut-out of both lines with its fingering. */
interface Around {
  readonly left: FingeringLine;
  /** The event of the whole line that is the cut-out's first. */
  readonly offset: number;
  readonly lines: HandLinesToSolve;
  readonly solution: Solution;
  readonly milli: number;
}

function comesOff({ placings }: Solution, event: number): boolean {
  return placings.some(({ first, joint }) => first === event && joint === "separate");
}

/** Needs in groups, so that those of different groups have no moment in common. */
function meeting(needs: readonly LeverNeed[], candidatesOf: (need: LeverNeed) => Candidate[]): Choice[][] {
  const groups: Choice[][] = [];
  let latest = Number.NEGATIVE_INFINITY;
  for (const need of needs) {
    const candidates = candidatesOf(need);
    const earliest = Math.min(...candidates.map(({ index }) => index));
    const group = groups[groups.length - 1];
    if (group && earliest <= latest) group.push({ need, candidates });
    else groups.push([{ need, candidates }]);
    latest = Math.max(latest, ...candidates.map(({ index }) => index));
  }
  return groups;
}

/** Every way to give each need one of its moments; a need without any goes without. */
function* combinations(group: readonly Choice[]): Generator<(Candidate | undefined)[]> {
  const [first, ...rest] = group;
  if (!first) {
    yield [];
    return;
  }
  for (const candidate of [...first.candidates, undefined]) {
    for (const others of combinations(rest)) yield [candidate, ...others];
  }
}

function compareLists(a: readonly number[], b: readonly number[]): number {
  const at = a.findIndex((value, i) => value !== b[i]);
  return at < 0 ? 0 : a[at]! - b[at]!;
}
