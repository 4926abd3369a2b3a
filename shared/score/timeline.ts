import type { Score } from "./model.ts";
import { add, compare, type Rational, subtract, toNumber, zero } from "./rational.ts";

/** Without a tempo in the score, in quarter notes a minute. */
export const defaultTempo = 96;

const microsPerMinute = 60_000_000;

/** Turns written time into seconds by the score's tempo marks. */
export class Timeline {
  /** Whether the score says a tempo at all. */
  readonly stated: boolean;
  readonly #segments: readonly { from: Rational; micros: number; perQuarter: number }[];

  constructor(score: Score, tempo = defaultTempo) {
    this.stated = score.tempos.length > 0;
    const segments = [{ from: zero, micros: 0, perQuarter: microsPerMinute / tempo }];
    for (const mark of score.tempos) {
      const start = score.measureStarts[mark.measure];
      if (!start) continue;
      const from = add(start, mark.position);
      const before = segments[segments.length - 1]!;
      const order = compare(from, before.from);
      if (order < 0) continue;
      // Several parts may repeat the mark of one moment: the first one counts.
      if (order === 0 && segments.length > 1) continue;
      const perQuarter = microsPerMinute / mark.quartersPerMinute;
      // A first tempo that comes late, after a rest, say, holds from the beginning.
      if (segments.length === 1 && !this.#saysEarlier(score, mark.measure)) {
        segments[0] = { from: zero, micros: 0, perQuarter };
        continue;
      }
      const micros = before.micros + toNumber(subtract(from, before.from)) * before.perQuarter;
      segments.push({ from, micros, perQuarter });
    }
    this.#segments = segments;
  }

  #saysEarlier(score: Score, measure: number): boolean {
    return score.tempos.some((mark) => mark.measure < measure);
  }

  /** Microseconds from the start of the piece; the same music at the same tempo gives the same differences. */
  micros(at: Rational): number {
    let low = 0;
    let high = this.#segments.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (compare(this.#segments[middle]!.from, at) <= 0) low = middle;
      else high = middle - 1;
    }
    const segment = this.#segments[low]!;
    return Math.round(segment.micros + toNumber(subtract(at, segment.from)) * segment.perQuarter);
  }
}
