import type { Run } from "./runs.ts";
import { type Repeat, rankOf } from "./suffixes.ts";
import { firstPlaceBits, placeBits, type Surprise } from "./surprise.ts";
import type { PassageTexts } from "./tokens.ts";

/** Places where the same stretch stands. */
export interface Return {
  /** Positions, ascending. */
  readonly starts: readonly number[];
  /** Events. */
  readonly length: number;
  /** How much better the later places are told by "as before" than note by note. */
  readonly surpriseBits: number;
}

/** A return before it is known whether others say the same. */
export interface Candidate extends Return {
  /** What each place adds to the bits when another is known. */
  readonly gains: readonly number[];
  /** What it takes to say which stretch comes back. */
  readonly firstBits: number;
}

/** Found by comparing strings and rhythm (`exact`), or shapes and rhythm (`shape`). */
export type Likeness = "exact" | "shape";

/** Passages have at least this many events, unless they fill a bar. */
export const fewestEvents = 4;

/**
 * A return must be told so much better by "as before" than note by note. With 4 bits, the lines of ten scores whose
 * events are shuffled at random have one find together.
 */
export const leastSurpriseBits = 4;

/** Turns repeats of the text into passages. */
export class CandidateSearch {
  readonly #texts: PassageTexts;
  readonly #surprise: Surprise;
  readonly #likeness: Likeness;
  readonly #order: Int32Array;
  readonly #common: Int32Array;

  constructor(
    texts: PassageTexts,
    surprise: Surprise,
    likeness: Likeness,
    order: Int32Array,
    common: Int32Array,
  ) {
    this.#texts = texts;
    this.#surprise = surprise;
    this.#likeness = likeness;
    this.#order = order;
    this.#common = common;
  }

  /** What a stretch of `length` + 1 events tells. */
  #bits(start: number, length: number): number {
    const inside = this.#surprise.shapeSums[start + length]! - this.#surprise.shapeSums[start]!;
    return inside + (this.#likeness === "exact" ? this.#surprise.chord[start]! : 0);
  }

  /** What a repeat would tell if all its places counted and cost nothing. */
  worth({ length, from, to }: Repeat): number {
    return (to - from) * this.#bits(this.#order[from]!, length);
  }

  /**
   * The figures that stand three times in a row or more, as repeats of one figure each. It begins at a bar's
   * beginning where there is one, and is doubled until it is long enough to be a passage.
   */
  figures(runs: readonly Run[]): Repeat[] {
    const rank = rankOf(this.#order);
    const figures: Repeat[] = [];
    const seen = new Map<number, Set<number>>();
    for (const run of runs) {
      const start = this.#barIn(run);
      const events = this.#figureEvents(run, start);
      if (events === undefined) continue;
      const length = events - 1;
      const known = seen.get(length) ?? new Set<number>();
      seen.set(length, known);
      if (known.has(rank[start]!)) continue;
      let from = rank[start]!;
      let to = from;
      while (from > 0 && this.#common[from]! >= length) from -= 1;
      while (to + 1 < this.#common.length && this.#common[to + 1]! >= length) to += 1;
      for (let r = from; r <= to; r += 1) known.add(r);
      figures.push({ length, from, to });
    }
    return figures.sort((a, b) => a.length - b.length || a.from - b.from);
  }

  #barIn({ start, period }: Run): number {
    for (let i = start; i < start + period; i += 1) if (this.#texts.opensBar[i]) return i;
    return start;
  }

  /** Events of the figure that is repeated: whole bars if possible. Undefined when it cannot stand there twice. */
  #figureEvents({ period, end }: Run, start: number): number | undefined {
    // The run's last number leads to one more event.
    const room = Math.floor((end - start + 1) / 2);
    if (this.#texts.opensBar[start]) {
      for (let events = period; events <= room && events <= period * 16; events += period) {
        if (this.#texts.opensBar[start + events] && events >= 2) return events;
      }
    }
    const events = period * Math.ceil(fewestEvents / period);
    return events <= room ? events : undefined;
  }

  /** The places of a repeat that make a passage; undefined when there are not two, or when chance explains them. */
  candidate({ length, from, to }: Repeat): Candidate | undefined {
    const events = length + 1;
    const all = [...this.#order.subarray(from, to + 1)].sort((a, b) => a - b);
    if (events < fewestEvents && !all.every((start) => this.#fillsBar(start, events))) return undefined;
    const beat = this.#usualBeat(all);
    const bits = Math.min(...this.#firstOfEachHand(all).map((start) => this.#bits(start, length)));
    const free = new Gaps(events);
    // Places at the usual beat come first where places overlap.
    const sameBeat = all.filter((start) => this.#texts.beat[start] === beat && free.take(start));
    const others = all.filter(
      (start) =>
        this.#texts.beat[start] !== beat &&
        bits > placeBits(this.#texts, start, { beat }) &&
        free.take(start),
    );
    const starts = [...sameBeat, ...others].sort((a, b) => a - b);
    if (starts.length < 2) return undefined;
    const gains = starts.map((start, i) => {
      const after = i > 0 ? starts[i - 1]! + length : undefined;
      return bits - placeBits(this.#texts, start, { beat, after });
    });
    const firstBits = firstPlaceBits(this.#texts, starts[0]!);
    const surpriseBits = gains.slice(1).reduce((sum, gain) => sum + gain, -firstBits);
    return surpriseBits >= leastSurpriseBits
      ? { starts, length: events, surpriseBits, gains, firstBits }
      : undefined;
  }

  #firstOfEachHand(starts: readonly number[]): number[] {
    const { lineOf } = this.#texts;
    return starts.filter((start, i) => i === 0 || lineOf[start] !== lineOf[starts[i - 1]!]);
  }

  #usualBeat(starts: readonly number[]): number {
    const counts = new Map<number, number>();
    for (const start of starts) {
      const beat = this.#texts.beat[start]!;
      counts.set(beat, (counts.get(beat) ?? 0) + 1);
    }
    return [...counts].reduce((best, entry) => (entry[1] > best[1] ? entry : best))[0];
  }

  #fillsBar(start: number, events: number): boolean {
    const texts = this.#texts;
    if (events < 2) return false;
    for (let i = start; i < start + events; i += 1) {
      if (!texts.opensBar[i]) continue;
      let next = i + 1;
      const end = texts.starts[texts.lineOf[i]!]! + texts.lines[texts.lineOf[i]!]!.events.length;
      while (next < end && !texts.opensBar[next]) next += 1;
      if (next <= start + events) return true;
    }
    return false;
  }
}

/** Keeps stretches of one length apart. */
class Gaps {
  readonly #length: number;
  /** A block of that length holds the start of one stretch at most. */
  readonly #starts = new Map<number, number>();

  constructor(length: number) {
    this.#length = length;
  }

  /** Takes the stretch from `start` if it shares no event with one already taken. */
  take(start: number): boolean {
    const block = Math.floor(start / this.#length);
    for (let b = block - 1; b <= block + 1; b += 1) {
      const other = this.#starts.get(b);
      if (other !== undefined && Math.abs(other - start) < this.#length) return false;
    }
    this.#starts.set(block, start);
    return true;
  }
}
