import type { Direction, Finger, FingeringLine, HandName, Joint, Term, TermName } from "./model.ts";
import { allowedSlides } from "./slides.ts";
import { gapsOf } from "./times.ts";
import { pairKey, reachSteps, type Weights } from "./weights.ts";

/** Called with each cost as it is found. */
type Charge = (name: TermName, milli: number) => void;

/** A placing before it is chosen: fingers by ascending string over all its events. */
export interface PlacingChoice {
  readonly first: number;
  readonly last: number;
  readonly direction: Direction;
  /** Ascending strings of all its events together. */
  readonly strings: readonly number[];
  /** fingers[k] for strings[k]: strictly descending, but for the two notes of a slide. */
  readonly fingers: readonly Finger[];
  /** The finger of the first event slides on to the second. */
  readonly slide?: true;
}

/**
 * Weighs placings and joints of one line. Every cost depends on one placing or on two neighbouring ones, so that a
 * shortest path over placings finds the optimum. All costs are integer thousandths, at least 0.
 */
export class LineCosts {
  readonly hand: HandName;
  /** The strings of each event that the hand has fingers for, ascending, at most four. */
  readonly strings: readonly (readonly number[])[];
  /** For each event, whether no placing may reach over to it from the event before. */
  readonly cutBefore: readonly boolean[];
  /** For each event, whether the hand is free of the strings before it. */
  readonly #free: readonly boolean[];
  /** How many strings of each event are left without a finger. */
  readonly unplayed: readonly number[];
  /** For each event, the finger that may slide on from it to the next. */
  readonly slides: readonly (Finger | undefined)[];
  readonly #weights: Weights;
  readonly #raw: Float64Array;
  readonly #felt: Float64Array;
  /** What it costs to wait on the strings after each event. */
  readonly #hold: Float64Array;
  readonly #rolled: readonly boolean[];
  /** For each event, the steps to the next one where a finger may pass the thumb between them; 0 where none may. */
  readonly #crossSteps: Int32Array;
  /** For each event, what coming off after it costs where no string comes again at once; NaN until it is asked for. */
  readonly #separateMilli: Float64Array;
  readonly #tables: Tables;

  constructor(line: FingeringLine, weights: Weights) {
    this.hand = line.hand;
    this.#weights = weights;
    const { raw, felt } = gapsOf(line.events, weights);
    this.#raw = Float64Array.from(raw);
    this.#felt = Float64Array.from(felt);
    const { cost, fromMicros, rangeMicros } = weights.hold;
    this.#hold = this.#felt.map((micros) => share(cost, micros - fromMicros, rangeMicros));
    this.strings = line.events.map((event) => playable(event.strings, line.hand));
    this.#free = freeBefore(line);
    this.cutBefore = line.events.map((event, i) => event.cutBefore === true || this.#free[i]!);
    this.unplayed = line.events.map((event) => Math.max(0, event.strings.length - 4));
    this.slides = allowedSlides(line, weights.slides);
    this.#rolled = line.events.map((event) => event.rolled === true);
    this.#crossSteps = Int32Array.from(this.strings, (from, event) => this.#crossingSteps(from, event + 1));
    this.#separateMilli = new Float64Array(line.events.length).fill(Number.NaN);
    this.#tables = tablesOf(weights);
  }

  get eventCount(): number {
    return this.strings.length;
  }

  /** True when the two events have a string in common. */
  shareString(event: number, other: number): boolean {
    const there = this.strings[other]!;
    return this.strings[event]!.some((string) => there.includes(string));
  }

  /** What the placing costs by itself. */
  placing(choice: PlacingChoice, charge: Charge): void {
    const weights = this.#weights;
    const { first, last, strings, fingers } = choice;
    charge("base", weights.base);
    for (const finger of fingers) {
      if (finger === 4) charge("weakFinger", weights.weakFinger);
      charge("level", weights.level[finger]!);
    }
    if (choice.slide) charge("slide", weights.slide);
    if (strings.length === 1) {
      const { usual, lowLeft, lowLeftBelowString } = weights.single;
      const low = this.hand === "left" && strings[0]! < lowLeftBelowString;
      charge("single", (low ? lowLeft : usual)[fingers[0]!]!);
    } else {
      this.#width(choice.slide ? asSet(choice) : choice, charge);
      if (fingers[fingers.length - 1] !== 1) charge("thumb", weights.thumb);
    }
    for (let event = first; event < last; event += 1) {
      charge("waiting", this.#hold[event]!);
      if (this.#raw[event]! < weights.hardLimits.placedMicros) charge("tooFast", weights.impossible);
    }
    for (let event = first; event <= last; event += 1) {
      if (this.unplayed[event]! > 0) charge("tooMany", weights.impossible * this.unplayed[event]!);
    }
  }

  #width(choice: PlacingChoice, charge: Charge): void {
    const weights = this.#weights;
    const { stretch, outer, reach } = this.#tables;
    const { strings, fingers } = choice;
    const count = strings.length;
    const top = count - 1;
    for (let i = 1; i < count; i += 1) {
      const steps = strings[i]! - strings[i - 1]!;
      const cost = steps < tableWidth ? stretch[tableAt(fingers[i]!, fingers[i - 1]!, steps)]! : -1;
      if (cost >= 0) charge("stretch", cost);
      else this.#beyond(choice, fingers[i]!, fingers[i - 1]!, steps, charge);
    }
    if (count < 3) return;
    const span = strings[top]! - strings[0]!;
    const spread = span < tableWidth ? outer[tableAt(fingers[top]!, fingers[0]!, span)]! : -1;
    if (spread > 0) charge("outer", spread);
    if (
      span >= weights.cramped.fromSteps &&
      fingers[top] === 1 &&
      fingers[top - 1] === 2 &&
      strings[top]! - strings[top - 1]! === 1
    ) {
      charge("cramped", weights.cramped.cost);
    }
    // Fingers between the outermost spread with their neighbours: C G C E with 4 3 2 1 is a chord of the trade.
    if (span > reach[fingers[top]! * 5 + fingers[0]!]!) {
      this.#beyond(choice, fingers[top]!, fingers[0]!, span, charge);
    }
  }

  /**
   * Two strings further apart than these fingers reach: impossible, unless they are the outermost of a rolled chord.
   * Those cost what the widest reach costs and something for each step more, or the wider chord would be the cheaper.
   */
  #beyond(choice: PlacingChoice, a: Finger, b: Finger, steps: number, charge: Charge): void {
    const weights = this.#weights;
    const { strings } = choice;
    const reach = this.#tables.reach[a * 5 + b]!;
    const excess = steps - reach;
    const rolledChord = choice.first === choice.last && this.#rolled[choice.first] === true;
    const outermost = steps === strings[strings.length - 1]! - strings[0]!;
    if (!rolledChord || !outermost || reach === 0 || excess > weights.rolled.extraSteps) {
      charge("tooWide", weights.impossible + weights.beyondReachPerStep * excess);
      return;
    }
    if (strings.length === 2) charge("stretch", weights.stretch[pairKey(a, b)]![reach]!);
    else charge("outer", weights.outer[pairKey(a, b)]?.[reach] ?? 0);
    charge("outer", weights.rolled.perStep * excess);
  }

  /** True when the two placings can share the note where the line turns. */
  overlaps(a: PlacingChoice, b: PlacingChoice): boolean {
    return (
      a.last === b.first &&
      a.last > a.first &&
      b.last > b.first &&
      a.direction !== b.direction &&
      this.strings[a.last]!.length === 1 &&
      lastFinger(a) === firstFinger(b)
    );
  }

  /** What sharing the turning note costs. Waiting on it is counted in the second placing. */
  overlap(charge: Charge): void {
    charge("overlap", this.#weights.overlap);
  }

  #crossingSteps(from: readonly number[], next: number): number {
    const to = this.strings[next];
    if (!to || this.#free[next] || !isCrossable(from, to, this.#weights.crossAtMostSteps)) return 0;
    return to[0]! - from[0]!;
  }

  /** True when `b` can go on in the direction of `a` with a finger passing under the thumb or the thumb over it. */
  crosses(a: PlacingChoice, b: PlacingChoice): boolean {
    const steps = this.#crossSteps[a.last]!;
    if (steps === 0 || b.first !== a.last + 1) return false;
    const direction: Direction = steps > 0 ? "rising" : "falling";
    if (a.last > a.first && a.direction !== direction) return false;
    if (b.last > b.first && b.direction !== direction) return false;
    return steps > 0 ? lastFinger(a) === 1 && firstFinger(b) > 1 : lastFinger(a) > 1 && firstFinger(b) === 1;
  }

  cross(a: PlacingChoice, b: PlacingChoice, charge: Charge): void {
    const weights = this.#weights;
    const steps = this.strings[b.first]![0]! - this.strings[a.last]![0]!;
    charge("cross", weights.cross[steps > 0 ? firstFinger(b) : lastFinger(a)]!);
    charge("skip", weights.skip * (Math.abs(steps) - 1));
    charge("waiting", this.#hold[a.last]!);
    if (this.#raw[a.last]! < weights.hardLimits.crossMicros) charge("tooFast", weights.impossible);
    const loneTop = steps > 0 ? b : a;
    if (loneTop.first === loneTop.last && this.#isTop(loneTop.first)) charge("turn", weights.turn);
  }

  separate(a: PlacingChoice, b: PlacingChoice, charge: Charge): void {
    const weights = this.#weights;
    const from = this.strings[a.last]!;
    const to = this.strings[b.first]!;
    const felt = this.#felt[a.last]!;
    const raw = this.#raw[a.last]!;
    const { cost, rush, beforeMicros, rangeMicros } = weights.separate;
    charge("separate", cost + share(rush, beforeMicros - felt, rangeMicros));
    const distance = nearest(from, to);
    charge("leap", weights.leap.perStep * Math.max(0, distance - weights.leap.beyondSteps));
    const same = distance === 0 ? this.#sharedString(a, b) : undefined;
    if (same === "same finger") {
      const { slow, fast, slowMicros, fastMicros } = weights.sameString;
      charge("sameString", slow + share(fast - slow, slowMicros - raw, slowMicros - fastMicros));
    } else if (same === "other finger") {
      charge("sameString", weights.sameString.otherFinger);
    }
    if (raw < this.#separateLimit(from, to, distance, same)) charge("tooFast", weights.impossible);
  }

  /** The sum of what `separate` charges. */
  separateMilli(a: PlacingChoice, b: PlacingChoice): number {
    const known = this.#separateMilli[a.last]!;
    if (!Number.isNaN(known)) return known;
    const milli = total((charge) => this.separate(a, b, charge));
    // Which finger comes off which string matters only where a string is plucked again.
    if (!this.shareString(a.last, b.first)) this.#separateMilli[a.last] = milli;
    return milli;
  }

  #separateLimit(
    from: readonly number[],
    to: readonly number[],
    distance: number,
    same: "same finger" | "other finger" | undefined,
  ): number {
    const limits = this.#weights.hardLimits;
    // Another finger is ready over the string while the first one plays: the hand need not travel.
    if (same === "other finger" && from.length === 1 && to.length === 1) return limits.crossMicros;
    if (same === "same finger" && from.length === 1 && to.length === 1) return limits.sameFingerMicros;
    if (distance > limits.leapSteps) return limits.separateAfterLeapMicros;
    if (from.length > 1 && to.length > 1) return limits.chordToChordMicros;
    return limits.separateMicros;
  }

  /**
   * Whether a string of `a`'s last event is plucked again at once, and by the same finger or another. A hand that goes
   * from chord to chord is set anew as a whole: another finger on one of the strings saves it nothing, so that the
   * shape of the chord decides. Common practice, no source.
   */
  #sharedString(a: PlacingChoice, b: PlacingChoice): "same finger" | "other finger" | undefined {
    const from = this.strings[a.last]!;
    const to = this.strings[b.first]!;
    if (from.length > 1 && to.length > 1) return "same finger";
    let found: "same finger" | "other finger" | undefined;
    for (const string of from) {
      if (!to.includes(string)) continue;
      if (fingerOn(a, string) === fingerOn(b, string)) return "same finger";
      found = "other finger";
    }
    return found;
  }

  /** True when the line turns at this single note and it is the upper turning point. */
  #isTop(event: number): boolean {
    const before = this.strings[event - 1];
    const after = this.strings[event + 1];
    const here = this.strings[event]!;
    if (!before || !after) return false;
    return before[before.length - 1]! < here[0]! && after[after.length - 1]! < here[0]!;
  }
}

/** The joint that two neighbouring placings have at the least cost; undefined if none fits. */
export function cheapestJoint(costs: LineCosts, a: PlacingChoice, b: PlacingChoice): Joint | undefined {
  if (b.first === a.last) return costs.overlaps(a, b) ? "overlap" : undefined;
  if (b.first !== a.last + 1) return undefined;
  if (!costs.crosses(a, b)) return "separate";
  return jointMilli(costs, a, b, "cross") <= costs.separateMilli(a, b) ? "cross" : "separate";
}

/** What a joint costs, in thousandths. */
export function jointMilli(costs: LineCosts, a: PlacingChoice, b: PlacingChoice, joint: Joint): number {
  if (joint === "separate") return costs.separateMilli(a, b);
  return total((charge) => chargeJoint(costs, a, b, joint, charge));
}

function chargeJoint(
  costs: LineCosts,
  a: PlacingChoice,
  b: PlacingChoice,
  joint: Joint,
  charge: Charge,
): void {
  if (joint === "overlap") costs.overlap(charge);
  else if (joint === "cross") costs.cross(a, b, charge);
  else if (joint === "separate") costs.separate(a, b, charge);
}

/** The terms of a placing, zero ones left out, like names added up. */
export function placingTerms(costs: LineCosts, choice: PlacingChoice): Term[] {
  return collect((charge) => costs.placing(choice, charge));
}

/** The terms of the joint between two neighbouring placings. */
export function jointTerms(costs: LineCosts, a: PlacingChoice, b: PlacingChoice, joint: Joint): Term[] {
  return collect((charge) => chargeJoint(costs, a, b, joint, charge));
}

export function total(weigh: (charge: Charge) => void): number {
  let sum = 0;
  weigh((_, milli) => {
    sum += milli;
  });
  return sum;
}

function collect(weigh: (charge: Charge) => void): Term[] {
  const sums = new Map<TermName, number>();
  weigh((name, milli) => {
    if (milli !== 0) sums.set(name, (sums.get(name) ?? 0) + milli);
  });
  return [...sums].map(([name, milli]) => ({ name, milli }));
}

/** A placing with a slide as the hand is set for it, before the finger slides: without the note that it slides on to. */
function asSet(choice: PlacingChoice): PlacingChoice {
  const added = choice.direction === "falling" ? choice.strings.length - 2 : 1;
  const kept = (_: unknown, i: number): boolean => i !== added;
  return { ...choice, strings: choice.strings.filter(kept), fingers: choice.fingers.filter(kept) };
}

/** Whether a finger may pass the thumb between these events. */
export function isCrossable(from: readonly number[], to: readonly number[], atMost: number): boolean {
  const steps = Math.abs(to[0]! - from[0]!);
  return from.length === 1 && to.length === 1 && steps > 0 && steps <= atMost;
}

/** The finger on the first event's lowest string. */
export function firstFinger(choice: PlacingChoice): Finger {
  return choice.direction === "falling" ? choice.fingers[choice.fingers.length - 1]! : choice.fingers[0]!;
}

/** The finger on the last event, when that is a single note. */
export function lastFinger(choice: PlacingChoice): Finger {
  return choice.direction === "falling" ? choice.fingers[0]! : choice.fingers[choice.fingers.length - 1]!;
}

function fingerOn(choice: PlacingChoice, string: number): Finger | undefined {
  return choice.fingers[choice.strings.indexOf(string)];
}

/** Where the hand is free of the strings, unless it is decided that a placing reaches over. */
function freeBefore({ events, locks }: FingeringLine): boolean[] {
  const free = events.map((event) => event.handFreeBefore === true);
  for (const { first, last } of locks?.placings ?? []) free.fill(false, first + 1, last + 1);
  return free;
}

/** A hand has four fingers: the right keeps the upper strings, the left the lower ones. */
function playable(strings: readonly number[], hand: HandName): readonly number[] {
  if (strings.length <= 4) return strings;
  return hand === "right" ? strings.slice(-4) : strings.slice(0, 4);
}

const tableWidth = 32;

function tableAt(a: Finger, b: Finger, steps: number): number {
  return (a * 5 + b) * tableWidth + steps;
}

/** Costs of two fingers as flat tables: [(a × 5 + b) × width + steps]; −1 beyond the hand. */
interface Tables {
  readonly stretch: Int32Array;
  readonly outer: Int32Array;
  /** reach[a × 5 + b]: the most steps. */
  readonly reach: Int32Array;
}

const known = new WeakMap<Weights, Tables>();

/** Worked out once for a table of costs. */
function tablesOf(weights: Weights): Tables {
  let tables = known.get(weights);
  if (!tables) {
    const reach = Int32Array.from({ length: 25 }, (_, i) =>
      reachSteps(weights, Math.floor(i / 5) as Finger, (i % 5) as Finger),
    );
    tables = { stretch: tableOf(weights.stretch), outer: tableOf(weights.outer), reach };
    known.set(weights, tables);
  }
  return tables;
}

function tableOf(byPair: Weights["stretch"]): Int32Array {
  const table = new Int32Array(25 * tableWidth).fill(-1);
  for (const a of [1, 2, 3, 4] as const) {
    for (const b of [1, 2, 3, 4] as const) {
      for (const [steps, cost] of Object.entries(byPair[pairKey(a, b)] ?? {})) {
        table[tableAt(a, b, Number(steps))] = cost;
      }
    }
  }
  return table;
}

function nearest(a: readonly number[], b: readonly number[]): number {
  let least = Number.POSITIVE_INFINITY;
  for (const x of a) for (const y of b) least = Math.min(least, Math.abs(x - y));
  return least;
}

/** The part of `cost` that `part` is of `whole`; multiplied first, so that halves round alike everywhere. */
function share(cost: number, part: number, whole: number): number {
  if (whole <= 0) return part > 0 ? cost : 0;
  return Math.round((cost * Math.max(0, Math.min(whole, part))) / whole);
}
