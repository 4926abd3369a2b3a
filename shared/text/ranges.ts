import { firstWhere } from "./firstWhere.ts";

/** Inclusive, in whatever is counted: events, say. */
interface Range {
  readonly first: number;
  readonly last: number;
}

/** A list of ranges, to be asked for those near a place without looking at all of them. */
export class Ranges<R extends Range> {
  readonly #all: readonly R[];
  /** Numbers of the ranges by where they begin. */
  readonly #byFirst: readonly number[];
  /** The furthest end of the ranges up to each of these. */
  readonly #furthest: readonly number[];

  constructor(all: readonly R[]) {
    this.#all = all;
    this.#byFirst = all.map((_, i) => i).sort((a, b) => all[a]!.first - all[b]!.first);
    let furthest = Number.NEGATIVE_INFINITY;
    this.#furthest = this.#byFirst.map((i) => {
      furthest = Math.max(furthest, all[i]!.last);
      return furthest;
    });
  }

  /** The ranges that share something with the one from `first` to `last`, in the order of the list. */
  touching(first: number, last: number): R[] {
    return this.numbersTouching(first, last).map((i) => this.#all[i]!);
  }

  /** The same by their numbers in the list. Time O(log n + those found), when no range reaches over many others. */
  numbersTouching(first: number, last: number): number[] {
    const count = this.#all.length;
    const found: number[] = [];
    for (let k = firstWhere(count, (i) => this.#furthest[i]! >= first); k < count; k += 1) {
      const i = this.#byFirst[k]!;
      const range = this.#all[i]!;
      if (range.first > last) break;
      if (range.last >= first) found.push(i);
    }
    return found.sort((a, b) => a - b);
  }
}
