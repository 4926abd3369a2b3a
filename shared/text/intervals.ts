import { firstWhere } from "./firstWhere.ts";

/** Stretches of a line, such as of a text, that are taken. Those that touch or overlap grow together. */
export class Intervals {
  /** Ascending, with gaps between them. */
  readonly #starts: number[] = [];
  readonly #ends: number[] = [];

  /** Whether something between `start` and `end` is taken; stretches that only meet do not overlap. */
  overlaps(start: number, end: number): boolean {
    const at = this.#firstEndingAfter(start);
    return at < this.#starts.length && this.#starts[at]! < end;
  }

  /** Takes a stretch. Time O(log n) at the end of the line, O(n) elsewhere. */
  add(start: number, end: number): void {
    if (start >= end) return;
    const first = this.#firstEndingAfter(start - 1);
    let next = first;
    let from = start;
    let to = end;
    while (next < this.#starts.length && this.#starts[next]! <= end) {
      from = Math.min(from, this.#starts[next]!);
      to = Math.max(to, this.#ends[next]!);
      next += 1;
    }
    this.#starts.splice(first, next - first, from);
    this.#ends.splice(first, next - first, to);
  }

  #firstEndingAfter(at: number): number {
    return firstWhere(this.#ends.length, (i) => this.#ends[i]! > at);
  }
}
