import { costOf, cutOut, type HandLinesToSolve, solveWithoutJumps } from "../fingering/bothHands.ts";
import type { FingeringLine } from "../fingering/model.ts";
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
  /**
   * The left hand has no time for it, and the right one would have. It reaches only some levers, where the neck dips,
   * which ones differs from harp to harp: so this is never planned, only told. Source: harpspectrum.org, composing for
   * harp.
   */
  readonly rightIsFree?: boolean;
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

/**
 * Whether a hand has time to move a lever between the two notes of a change.
 * @param played what that hand plucks, through all repeats, in order.
 * Time O(log played + events between the two notes).
 */
export function hasTimeFor(
  { last, next }: LeverNeed,
  played: readonly PlayedEvent[],
  times: LeverTimes = usualLeverTimes,
): boolean {
  const first = firstWhere(played.length, (k) => played[k]!.atMicros > last.atMicros);
  for (let k = first; k <= played.length; k += 1) {
    const { from, to } = freeBetween(played[k - 1], played[k], times);
    if (Math.max(last.atMicros, from) <= Math.min(next.atMicros, to)) return true;
    if ((played[k - 1]?.atMicros ?? Number.NEGATIVE_INFINITY) > next.atMicros) return false;
  }
  return false;
}

/** Between two notes of a hand, or before its first or after its last one: when it may have moved a lever. */
function freeBetween(
  previous: PlayedEvent | undefined,
  next: PlayedEvent | undefined,
  { reachMicros, backMicros }: LeverTimes,
): { readonly from: number; readonly to: number } {
  return {
    from: previous ? previous.atMicros + reachMicros : Number.NEGATIVE_INFINITY,
    to: next ? next.atMicros - backMicros : Number.POSITIVE_INFINITY,
  };
}

/** Of the moments for a change so many are weighed, those nearest to the note that needs it. */
const mostCandidates = 12;
/** A change that is needed after very many notes is looked for among so many of them. */
const mostSlots = 2000;
const contextEvents = 8;
const mostTogether = 200;

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
      if (slot.to < after || found.length >= mostCandidates) break;
      const from = Math.max(slot.from, after);
      const to = Math.min(slot.to, before);
      if (from <= to) found.push({ index, from, to, quiet: to >= need.last.untilMicros });
    }
    return found;
  }

  #slot(index: number): Slot {
    return { index, ...freeBetween(this.#played[index - 1], this.#played[index], this.#times) };
  }

  #choose(group: readonly Choice[], slots: Map<LeverNeed, Candidate | undefined>): void {
    const ways = group.reduce((count, { candidates }) => count * (candidates.length + 1), 1);
    if (ways > mostTogether && group.length > 1) {
      for (const one of group) this.#choose([one], slots);
      return;
    }
    const best = this.#best(
      group,
      [...combinations(group)].filter((way) => this.#fits(group, way)),
    );
    group.forEach(({ need }, i) => {
      const candidate = best[i];
      slots.set(need, candidate);
      if (candidate) this.#taken.set(candidate.index, [...(this.#taken.get(candidate.index) ?? []), need]);
    });
  }

  /** The way that leaves the fewest changes out, then disturbs the fingering least, then is the calmest. */
  #best(group: readonly Choice[], ways: readonly Way[]): Way {
    const left = (way: Way): number => way.filter((candidate) => !candidate).length;
    const least = Math.min(...ways.map(left));
    const complete = ways
      .filter((way) => left(way) === least)
      .sort((a, b) => compareLists(unrest(a), unrest(b)));
    if (complete.length === 1) return complete[0]!;
    const disturbing = (way: Way): number[] =>
      way.flatMap((candidate) =>
        this.#bindsNothing(candidate) ? [] : [this.#writtenBefore(candidate!.index)!],
      );
    const free = complete.find((way) => disturbing(way).length === 0);
    if (free === complete[0]) return free!;
    const around = this.#around(group);
    const disturbed = (way: Way): number[] =>
      disturbing(way).filter((event) => !around.comesOffBefore(event));
    const undisturbed = complete.find((way) => disturbed(way).length === 0);
    if (undisturbed) return undisturbed;
    let best = complete[0]!;
    let bestMilli = Number.POSITIVE_INFINITY;
    for (const way of complete) {
      const events = disturbed(way);
      // More moments never cost less.
      if (Math.max(...events.map((event) => around.milliWhenFree([event]))) >= bestMilli) continue;
      const milli = around.milliWhenFree(disturbing(way));
      if (milli >= bestMilli) continue;
      best = way;
      bestMilli = milli;
    }
    return best;
  }

  /** True when nothing can reach over the slot anyway. */
  #bindsNothing(candidate: Candidate | undefined): boolean {
    const event = candidate && this.#writtenBefore(candidate.index);
    if (event === undefined || !this.#lines.left || this.#taken.has(candidate!.index)) return true;
    const { events } = this.#lines.left;
    const [from, to] = [events[event - 1]!.strings, events[event]!.strings];
    return (
      events[event]!.handFreeBefore ||
      from.length + to.length > 4 ||
      !(isAbove(from, to) || isAbove(to, from))
    );
  }

  /** True when all changes in one slot can be made one after the other. */
  #fits(group: readonly Choice[], way: Way): boolean {
    const slots = new Map<number, LeverNeed[]>();
    way.forEach((candidate, i) => {
      if (!candidate) return;
      const there = slots.get(candidate.index) ?? [...(this.#taken.get(candidate.index) ?? [])];
      slots.set(candidate.index, [...there, group[i]!.need]);
    });
    return [...slots].every(([index, all]) => this.#moments(index, all) !== undefined);
  }

  /**
   * When each change in a slot is made, the most urgent first: once their strings have faded, where there is time to
   * wait for that. Undefined when there is no time for all.
   */
  #moments(index: number, all: readonly LeverNeed[]): Map<LeverNeed, number> | undefined {
    return (
      this.#oneByOne(index, all, ({ last }) => Math.max(last.atMicros, last.untilMicros)) ??
      this.#oneByOne(index, all, ({ last }) => last.atMicros)
    );
  }

  #oneByOne(
    index: number,
    all: readonly LeverNeed[],
    earliest: (need: LeverNeed) => number,
  ): Map<LeverNeed, number> | undefined {
    const slot = this.#slot(index);
    const moments = new Map<LeverNeed, number>();
    let free = slot.from;
    for (const need of all.toSorted((a, b) => a.next.atMicros - b.next.atMicros)) {
      const at = Math.max(free, earliest(need));
      const latest = Math.min(slot.to, need.next.atMicros);
      if (at > latest) return undefined;
      // The calmest moment of a slot without an end or a beginning is the one nearest to its note.
      moments.set(need, Number.isFinite(at) ? at : latest);
      free = Math.max(at, free) + this.#times.nextMicros;
    }
    return moments;
  }

  /** The event of the line before which a slot lies, where no barline is jumped over: there, nothing reaches over. */
  #writtenBefore(index: number): number | undefined {
    const [previous, next] = [this.#played[index - 1], this.#played[index]];
    return previous && next && previous.event + 1 === next.event ? next.event : undefined;
  }

  #around(group: readonly Choice[]): Around {
    const events = group.flatMap(({ candidates }) =>
      candidates.flatMap(({ index }) => this.#writtenBefore(index) ?? []),
    );
    return new Around(this.#lines, Math.min(...events), Math.max(...events), this.#weights);
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

/** The music around some moments, and what it costs when the left hand is free of the strings at some of them. */
class Around {
  readonly #left: FingeringLine;
  readonly #right: FingeringLine | undefined;
  /** The event of the whole line that is the cut-out's first. */
  readonly #offset: number;
  readonly #weights: Weights;
  readonly #separate: ReadonlySet<number>;
  readonly #known = new Map<string, number>();

  constructor({ left, right }: HandLinesToSolve, first: number, last: number, weights: Weights) {
    const { events } = left!;
    const from = events[Math.max(0, first - contextEvents)]!.atMicros;
    const to = events[Math.min(events.length - 1, last + contextEvents)]!.atMicros;
    const around = cutOut(left!, from, to)!;
    this.#left = around.line;
    this.#offset = around.offset;
    this.#right = right && cutOut(right, from, to)?.line;
    this.#weights = weights;
    const { placings } = solveWithoutJumps({ left: this.#left, right: this.#right }, weights).left!;
    this.#separate = new Set(
      placings.filter(({ joint }) => joint === "separate").map((placing) => placing.first),
    );
  }

  /** True when the best fingering comes off there anyway. */
  comesOffBefore(event: number): boolean {
    return this.#separate.has(event - this.#offset);
  }

  milliWhenFree(before: readonly number[]): number {
    const free = new Set(before);
    const key = [...free].sort((a, b) => a - b).join(" ");
    let milli = this.#known.get(key);
    if (milli === undefined) {
      const events = this.#left.events.map((event, i) =>
        free.has(this.#offset + i) ? { ...event, handFreeBefore: true } : event,
      );
      milli = costOf(
        solveWithoutJumps({ left: { ...this.#left, events }, right: this.#right }, this.#weights),
      );
      this.#known.set(key, milli);
    }
    return milli;
  }
}

type Way = readonly (Candidate | undefined)[];

/** Moments at which a string still sounds, then how short the shortest is. */
function unrest(way: Way): number[] {
  const loud = way.filter((candidate) => candidate && !candidate.quiet).length;
  return [loud, -Math.min(...way.map((candidate) => (candidate ? candidate.to - candidate.from : 0)))];
}

/** Every string of `there` lies above those of `here`. */
function isAbove(there: readonly number[], here: readonly number[]): boolean {
  return there[0]! > here[here.length - 1]!;
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
