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
/** Cells of a row of the table. The last one is never reached, so that no cell need ask whether it has neighbours. */
const stride = width + 1;

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
    const columns: Column[] = [];
    const mostBefore = Math.min(this.#before[b]!, b - a - seed);
    const left = this.#extend(columns, a, b, -1, this.#before[a]!, mostBefore, steps);
    const bFirst = columns.find((column) => column.b !== undefined)?.b ?? b;
    const start = steps === 0 ? this.#surprise.chord[a]! : 0;
    columns.push({ a, b, same: true, rhythm: left.rhythm, bits: start });
    const mostAfter = Math.min(this.#after[a]!, bFirst - 1 - a);
    const right = this.#extend(columns, a, b, 1, mostAfter, this.#after[b]!, steps);
    const range = (side: "a" | "b"): { first: number; last: number } => ({
      first: columns.find((column) => column[side] !== undefined)![side]!,
      last: columns.findLast((column) => column[side] !== undefined)![side]!,
    });
    return { a: range("a"), b: range("b"), steps, columns, bits: start + left.bits + right.bits };
  }

  /**
   * Adds the columns of the best extension from a pair outwards, in order of position.
   *
   * Most of a search is spent here: so all of it is one loop over numbers, and what belongs to one row is read once.
   * @returns its bits, and whether the rhythm is another at its last column.
   */
  #extend(
    columns: Column[],
    a: number,
    b: number,
    direction: 1 | -1,
    mostA: number,
    mostB: number,
    steps: number,
  ): { bits: number; rhythm: boolean } {
    const { form, lowest, wait, waitQuarters } = this.#texts;
    const { shape, steps: stepTells, chord } = this.#surprise;
    const missing = this.#missing;
    const letters = this.#letters;
    const grid = this.#grid;
    // How far from an event the number stands that leads from it to the one after it in this direction.
    const from = direction > 0 ? -1 : 0;
    // Letters of the earlier chord are moved up by the steps between the two stretches.
    const lettersUp = ((steps % 7) + 7) % 7;
    grid.firstRow(missing, b, direction, mostB);
    let bestBits = 0;
    let bestCell = slack;
    for (let u = 1; u <= mostA; u += 1) {
      grid.beginRow(u);
      const { bits, moves, ratios } = grid;
      const hereA = a + direction * u;
      const formA = form[hereA]!;
      const lowestA = lowest[hereA]! + steps;
      const missingA = missing[hereA]!;
      const waitA = wait[hereA + from]!;
      const lettersA = (letters[hereA]! << lettersUp) | (letters[hereA]! >> (7 - lettersUp));
      const last = u * stride + Math.min(width - 1, mostB - u + slack);
      let highest = Number.NEGATIVE_INFINITY;
      let cell = u * stride + Math.max(0, slack - u);
      let hereB = b + direction * Math.max(0, u - slack);
      for (; cell <= last; cell += 1, hereB += direction) {
        let move = Move.none;
        const before = cell - stride;
        let most = bits[before]!;
        let ratio = ratios[before]!;
        if (most > Number.NEGATIVE_INFINITY) {
          if (formA !== form[hereB] || lowestA !== lowest[hereB]) {
            move = Move.change;
            // Chords that share a string, or have the same one an octave away.
            most -= (lettersA & letters[hereB]! & 0x7f) !== 0 ? changeBits.partly : changeBits.other;
          } else if (moves[before]! > Move.matchOtherRhythm) {
            move = Move.match;
            most += Math.min(mostAfterChangeBits, chord[hereA]!);
          } else if (waitA === wait[hereB + from]) {
            move = Move.match;
            most += shape[hereA + from]!;
            ratio = 1;
          } else {
            move = Move.matchOtherRhythm;
            const now = waitQuarters[hereB + from]! / waitQuarters[hereA + from]!;
            most = most + stepTells[hereA + from]! - (Math.abs(now - ratio) < 1e-9 ? 0 : changeBits.rhythm);
            ratio = now;
          }
        }
        const withoutB = bits[before + 1]! - missingA;
        if (withoutB > most) {
          move = Move.onlyA;
          most = withoutB;
          ratio = ratios[before + 1]!;
        }
        const withoutA = bits[cell - 1]! - missing[hereB]!;
        if (withoutA > most) {
          move = Move.onlyB;
          most = withoutA;
          ratio = ratios[cell - 1]!;
        }
        bits[cell] = most;
        moves[cell] = move;
        ratios[cell] = ratio;
        if (most > highest) highest = most;
        if (most > bestBits && move <= Move.matchOtherRhythm) {
          if (move === Move.match || most > bestBits + otherRhythmEndBits) {
            bestBits = most;
            bestCell = cell;
          }
        }
      }
      if (highest < bestBits - giveUpBits) break;
    }
    return { bits: bestBits, rhythm: grid.trace(columns, bestCell, a, b, direction) };
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

/** The table of the search: cell u × stride + k has u events of one stretch and u + k − slack of the other. */
class Grid {
  bits = new Float64Array(64 * stride).fill(Number.NEGATIVE_INFINITY);
  moves = new Uint8Array(64 * stride);
  /** How many times as long the later stretch takes. */
  ratios = new Float64Array(64 * stride).fill(1);

  /** The start, and events that only the later stretch has. */
  firstRow(missing: Float64Array, b: number, direction: 1 | -1, mostB: number): void {
    this.beginRow(0);
    const { bits, moves, ratios } = this;
    bits[slack] = 0;
    moves[slack] = Move.match;
    ratios[slack] = 1;
    for (let k = slack + 1; k < width && k - slack <= mostB; k += 1) {
      bits[k] = bits[k - 1]! - missing[b + direction * (k - slack)]!;
      moves[k] = Move.onlyB;
      ratios[k] = 1;
    }
  }

  /** No cell of the row is reached. */
  beginRow(u: number): void {
    const start = u * stride;
    if (start + stride > this.bits.length) this.#grow();
    const { bits } = this;
    // For so few numbers a loop is quicker than filling.
    for (let cell = start; cell < start + width; cell += 1) bits[cell] = Number.NEGATIVE_INFINITY;
  }

  #grow(): void {
    const { bits, moves, ratios } = this;
    this.bits = new Float64Array(2 * bits.length).fill(Number.NEGATIVE_INFINITY, bits.length);
    this.bits.set(bits);
    this.moves = new Uint8Array(2 * moves.length);
    this.moves.set(moves);
    this.ratios = new Float64Array(2 * ratios.length);
    this.ratios.set(ratios);
  }

  /**
   * Adds the columns on the way to a cell, in order of position. The time since the column before belongs to the later
   * of two columns, whichever side it was found from.
   * @returns true when the column after them has another rhythm.
   */
  trace(columns: Column[], end: number, a: number, b: number, direction: 1 | -1): boolean {
    const { bits, moves } = this;
    const start = columns.length;
    let rhythm = false;
    for (let cell = end; cell !== slack; ) {
      const move = moves[cell] as Move;
      const u = Math.floor(cell / stride);
      const v = u + (cell % stride) - slack;
      const from = move === Move.onlyB ? cell - 1 : move === Move.onlyA ? cell - stride + 1 : cell - stride;
      const otherRhythm = move === Move.matchOtherRhythm;
      columns.push({
        a: move === Move.onlyB ? undefined : a + direction * u,
        b: move === Move.onlyA ? undefined : b + direction * v,
        same: move === Move.match || otherRhythm,
        rhythm: direction > 0 ? otherRhythm : rhythm,
        bits: bits[cell]! - bits[from]!,
      });
      rhythm = otherRhythm;
      cell = from;
    }
    if (direction > 0) turnAround(columns, start);
    return rhythm;
  }
}

/** Puts what stands in a list from `start` on into the opposite order. */
function turnAround(list: unknown[], start: number): void {
  for (let i = start, j = list.length - 1; i < j; i += 1, j -= 1) [list[i], list[j]] = [list[j], list[i]];
}
