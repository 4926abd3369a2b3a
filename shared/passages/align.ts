import type { Surprise } from "./surprise.ts";
import type { PassageTexts } from "./tokens.ts";

/** Two stretches of one line that are nearly alike. */
export interface Alignment {
  /** Inclusive positions, the earlier stretch first; they share no event. */
  readonly a: { readonly first: number; readonly last: number };
  readonly b: { readonly first: number; readonly last: number };
  /** How many strings the later one lies above the earlier one. */
  readonly steps: number;
  /** In order. */
  readonly columns: readonly Column[];
  /** What the earlier stretch tells about the later one, less what the differences take. */
  readonly bits: number;
}

/** One step of an alignment: an event of each stretch, or of one only. */
export interface Column {
  readonly a: number | undefined;
  readonly b: number | undefined;
  /** The same chord, `steps` higher. */
  readonly same: boolean;
  /** The time since the column before is not the same in both. */
  readonly rhythm: boolean;
  /** What it adds to the alignment's bits. */
  readonly bits: number;
}

/** What a difference takes to say, in bits: a little more than six ordinary notes tell about each other. */
const changeBits = { other: 10, partly: 5, grace: 4, rhythm: 1.5 };
/** A chord tells at most so much when what stands before it differs. */
const mostAfterChangeBits = 4;
/** An extension is given up when it is this much worse than its best. */
const giveUpBits = 18;
/** A stretch ends where the rhythms agree, unless going on tells so much more. */
const otherRhythmEndBits = 3;
/** Events that may be added or left out more on one side than on the other. */
const slack = 3;
const width = 2 * slack + 1;

/** Finds the best alignment of two stretches through a pair of events that are alike. */
export class Aligner {
  readonly #texts: PassageTexts;
  readonly #surprise: Surprise;
  readonly #grid = new Grid();
  /** How far a stretch may go on from each position in print, either way. */
  readonly #before: Int32Array;
  readonly #after: Int32Array;
  /** What it takes to say that one side has an event that the other has not. */
  readonly #missing: Float64Array;
  /** The letters of each event's strings, whatever their octaves: one bit each, C the lowest. */
  readonly #letters: Uint8Array;

  constructor(texts: PassageTexts, surprise: Surprise) {
    this.#texts = texts;
    this.#surprise = surprise;
    const { size, breaks, events } = texts;
    this.#missing = Float64Array.from(events, ({ grace }) => (grace ? changeBits.grace : changeBits.other));
    this.#letters = Uint8Array.from(events, ({ notes }) =>
      notes.reduce((letters, { string }) => letters | (1 << (((string % 7) + 7) % 7)), 0),
    );
    this.#before = new Int32Array(size);
    this.#after = new Int32Array(size);
    for (let i = 1; i < size; i += 1) this.#before[i] = breaks[i - 1] ? 0 : this.#before[i - 1]! + 1;
    for (let i = size - 2; i >= 0; i -= 1) this.#after[i] = breaks[i] ? 0 : this.#after[i + 1]! + 1;
  }

  /**
   * @param a, b positions of one line whose next `seed` events have the same shapes and steps; b ≥ a + seed.
   * Time O(events reached).
   */
  align(a: number, b: number, seed: number): Alignment {
    const steps = this.#texts.lowest[b]! - this.#texts.lowest[a]!;
    const left = this.#extend(a, b, -1, this.#before[a]!, Math.min(this.#before[b]!, b - a - seed), steps);
    const bFirst = left.columns.reduce((first, column) => Math.min(first, column.b ?? first), b);
    const right = this.#extend(a, b, 1, Math.min(this.#after[a]!, bFirst - 1 - a), this.#after[b]!, steps);
    // The time since the column before belongs to the later of two columns, whichever side it was found from.
    const start = steps === 0 ? this.#surprise.chord[a]! : 0;
    const leftward = [...left.columns, { a, b, same: true, rhythm: false, bits: start }];
    const turned = leftward.map((column, i) => ({ ...column, rhythm: i > 0 && leftward[i - 1]!.rhythm }));
    const columns = [...turned, ...right.columns];
    const range = (side: "a" | "b"): { first: number; last: number } => ({
      first: columns.find((column) => column[side] !== undefined)![side]!,
      last: columns.findLast((column) => column[side] !== undefined)![side]!,
    });
    return { a: range("a"), b: range("b"), steps, columns, bits: start + left.bits + right.bits };
  }

  /** The best extension from a pair outwards; its columns are in order of position. */
  #extend(
    a: number,
    b: number,
    direction: 1 | -1,
    mostA: number,
    mostB: number,
    steps: number,
  ): { columns: Column[]; bits: number } {
    const grid = this.#grid;
    grid.clearRow(0);
    grid.bits[slack] = 0;
    grid.moves[slack] = Move.match;
    let best = { bits: 0, u: 0, k: slack };
    for (let u = 0; u <= mostA; u += 1) {
      if (u > 0) grid.clearRow(u);
      const { bits } = grid;
      let highest = Number.NEGATIVE_INFINITY;
      for (let k = Math.max(0, slack - u); k < width && u + k - slack <= mostB; k += 1) {
        if (u === 0 && k === slack) continue;
        const v = u + k - slack;
        const cell = u * width + k;
        this.#fill(cell, u, v, k, a + direction * u, b + direction * v, direction, steps);
        const here = bits[cell]!;
        if (here > highest) highest = here;
        if (here <= best.bits) continue;
        const move = grid.moves[cell];
        const needed =
          move === Move.match ? 0 : move === Move.matchOtherRhythm ? otherRhythmEndBits : Infinity;
        if (here > best.bits + needed) best = { bits: here, u, k };
      }
      if (u > 0 && highest < best.bits - giveUpBits) break;
    }
    return { columns: grid.trace(best, a, b, direction), bits: best.bits };
  }

  /** Finds the best way to the cell where positions `a` and `b` are the last ones taken, from cells that are reached. */
  #fill(
    cell: number,
    u: number,
    v: number,
    k: number,
    a: number,
    b: number,
    direction: 1 | -1,
    steps: number,
  ): void {
    const grid = this.#grid;
    const { bits, ratios } = grid;
    if (u > 0 && v > 0 && bits[cell - width]! > Number.NEGATIVE_INFINITY) {
      this.#pair(cell, cell - width, a, b, direction, steps);
    }
    if (u > 0 && k + 1 < width) {
      const above = cell - width + 1;
      const left = bits[above]! - this.#missing[a]!;
      if (left > bits[cell]!) grid.take(cell, left, Move.onlyA, ratios[above]!);
    }
    if (v > 0 && k > 0) {
      const left = bits[cell - 1]! - this.#missing[b]!;
      if (left > bits[cell]!) grid.take(cell, left, Move.onlyB, ratios[cell - 1]!);
    }
  }

  /** Takes positions `a` and `b` together, after the cell `before`. */
  #pair(cell: number, before: number, a: number, b: number, direction: 1 | -1, steps: number): void {
    const texts = this.#texts;
    const grid = this.#grid;
    const bits = grid.bits[before]!;
    const ratio = grid.ratios[before]!;
    if (texts.form[a] !== texts.form[b] || texts.lowest[a]! + steps !== texts.lowest[b]) {
      const takes = this.#shareStrings(a, b, steps) ? changeBits.partly : changeBits.other;
      grid.take(cell, bits - takes, Move.change, ratio);
      return;
    }
    const move = grid.moves[before];
    if (move !== Move.match && move !== Move.matchOtherRhythm) {
      const tells = Math.min(mostAfterChangeBits, this.#surprise.chord[a]!);
      grid.take(cell, bits + tells, Move.match, ratio);
      return;
    }
    // The numbers of the texts lead from an event to the next.
    const fromA = direction > 0 ? a - 1 : a;
    const fromB = direction > 0 ? b - 1 : b;
    if (texts.wait[fromA] === texts.wait[fromB]) {
      grid.take(cell, bits + this.#surprise.shape[fromA]!, Move.match, 1);
      return;
    }
    const now = texts.waitQuarters[fromB]! / texts.waitQuarters[fromA]!;
    const takes = Math.abs(now - ratio) < 1e-9 ? 0 : changeBits.rhythm;
    grid.take(cell, bits + this.#surprise.steps[fromA]! - takes, Move.matchOtherRhythm, now);
  }

  /** True for chords that share a string, or have the same one an octave away. */
  #shareStrings(a: number, b: number, steps: number): boolean {
    const there = this.#letters[b]!;
    // Letters of the earlier chord, moved up by the steps between the two stretches.
    const by = ((steps % 7) + 7) % 7;
    const here = this.#letters[a]!;
    return (((here << by) | (here >> (7 - by))) & there & 0x7f) !== 0;
  }
}

enum Move {
  none = 0,
  match = 1,
  matchOtherRhythm = 2,
  change = 3,
  onlyA = 4,
  onlyB = 5,
}

/** The table of the search: cell u × width + k has u events of one stretch and u + k − slack of the other. */
class Grid {
  bits = new Float64Array(64 * width);
  moves = new Uint8Array(64 * width);
  /** How many times as long the later stretch takes. */
  ratios = new Float64Array(64 * width);

  clearRow(u: number): void {
    const start = u * width;
    if (start + width > this.bits.length) this.#grow();
    const { bits, moves, ratios } = this;
    // For so few numbers a loop is quicker than filling.
    for (let cell = start; cell < start + width; cell += 1) {
      bits[cell] = Number.NEGATIVE_INFINITY;
      moves[cell] = Move.none;
      ratios[cell] = 1;
    }
  }

  #grow(): void {
    const { bits, moves, ratios } = this;
    this.bits = new Float64Array(2 * bits.length);
    this.bits.set(bits);
    this.moves = new Uint8Array(2 * moves.length);
    this.moves.set(moves);
    this.ratios = new Float64Array(2 * ratios.length);
    this.ratios.set(ratios);
  }

  /** Takes a way to a cell. */
  take(cell: number, bits: number, move: Move, ratio: number): void {
    this.bits[cell] = bits;
    this.moves[cell] = move;
    this.ratios[cell] = ratio;
  }

  /** The columns on the way to a cell, in order of position. */
  trace(end: { readonly u: number; readonly k: number }, a: number, b: number, direction: 1 | -1): Column[] {
    const columns: Column[] = [];
    let { u, k } = end;
    while (u > 0 || k > slack) {
      const move = this.moves[u * width + k] as Move;
      const v = u + k - slack;
      const [fromU, fromK] =
        move === Move.onlyB ? [u, k - 1] : move === Move.onlyA ? [u - 1, k + 1] : [u - 1, k];
      columns.push({
        a: move === Move.onlyB ? undefined : a + direction * u,
        b: move === Move.onlyA ? undefined : b + direction * v,
        same: move === Move.match || move === Move.matchOtherRhythm,
        rhythm: move === Move.matchOtherRhythm,
        bits: this.bits[u * width + k]! - this.bits[fromU * width + fromK]!,
      });
      u = fromU;
      k = fromK;
    }
    return direction > 0 ? columns.reverse() : columns;
  }
}
