/**
 * Sorts all suffixes of a text of whole numbers.
 *
 * @param text n numbers, any values.
 * @returns order[r] = where the suffix of rank r begins; a suffix that is the start of another comes before it.
 * Time O(n log n), memory O(n).
 * Source: Manber and Myers, "Suffix arrays: a new method for on-line string searches", 1993; the doubling step with
 * counting sort after Larsson and Sadakane, 1999.
 */
export function suffixArray(text: Int32Array): Int32Array {
  const n = text.length;
  const order = Int32Array.from({ length: n }, (_, i) => i);
  order.sort((a, b) => text[a]! - text[b]! || a - b);
  let rank = new Int32Array(n);
  for (let r = 1; r < n; r += 1) {
    rank[order[r]!] = rank[order[r - 1]!]! + (text[order[r]!] === text[order[r - 1]!] ? 0 : 1);
  }
  let ranks = n > 0 ? rank[order[n - 1]!]! + 1 : 0;
  const nextOrder = new Int32Array(n);
  let nextRank = new Int32Array(n);
  for (let width = 1; ranks < n; width *= 2) {
    // By the second half: suffixes without one come first, the others in the order already known.
    let filled = 0;
    for (let i = n - width; i < n; i += 1) if (i >= 0) nextOrder[filled++] = i;
    for (let r = 0; r < n; r += 1) if (order[r]! >= width) nextOrder[filled++] = order[r]! - width;
    // By the first half, stable.
    const place = new Int32Array(ranks + 1);
    for (let i = 0; i < n; i += 1) place[rank[i]! + 1]! += 1;
    for (let r = 0; r < ranks; r += 1) place[r + 1]! += place[r]!;
    for (let r = 0; r < n; r += 1) {
      const suffix = nextOrder[r]!;
      order[place[rank[suffix]!]!++] = suffix;
    }
    nextRank[order[0]!] = 0;
    for (let r = 1; r < n; r += 1) {
      const a = order[r - 1]!;
      const b = order[r]!;
      const secondA = a + width < n ? rank[a + width]! : -1;
      const secondB = b + width < n ? rank[b + width]! : -1;
      nextRank[b] = nextRank[a]! + (rank[a] === rank[b] && secondA === secondB ? 0 : 1);
    }
    ranks = nextRank[order[n - 1]!]! + 1;
    [rank, nextRank] = [nextRank, rank];
  }
  return order;
}

/**
 * How far each suffix agrees with the one before it in sorted order.
 *
 * @param order the text's suffix array.
 * @returns common[r] for ranks r − 1 and r; common[0] = 0.
 * Time O(n).
 * Source: Kasai, Lee, Arimura, Arikawa, Park, "Linear-time longest-common-prefix computation in suffix arrays and
 * its applications", 2001.
 */
export function commonPrefixes(text: Int32Array, order: Int32Array): Int32Array {
  const n = text.length;
  const rank = rankOf(order);
  const common = new Int32Array(n);
  let length = 0;
  for (let i = 0; i < n; i += 1) {
    const r = rank[i]!;
    if (r === 0) {
      length = 0;
      continue;
    }
    const j = order[r - 1]!;
    while (i + length < n && j + length < n && text[i + length] === text[j + length]) length += 1;
    common[r] = length;
    if (length > 0) length -= 1;
  }
  return common;
}

/** rank[i] = the place of suffix i in sorted order. */
export function rankOf(order: Int32Array): Int32Array {
  const rank = new Int32Array(order.length);
  for (let r = 0; r < order.length; r += 1) rank[order[r]!] = r;
  return rank;
}

/** A string of a text that stands at several places: `length` numbers at each of order[from] … order[to]. */
export interface Repeat {
  readonly length: number;
  /** Inclusive ranks in the suffix array. */
  readonly from: number;
  readonly to: number;
}

/**
 * The maximal repeats of a text: strings that stand at two places or more and cannot be made longer on either side
 * without losing one of them.
 *
 * @returns one for each such string, fewer than n. Time O(n).
 * Source: Gusfield, "Algorithms on strings, trees and sequences", 1997, section 7.12; the walk over intervals after
 * Abouelhoda, Kurtz, Ohlebusch, 2004.
 */
export function maximalRepeats(text: Int32Array, order: Int32Array, common: Int32Array): Repeat[] {
  const found: Repeat[] = [];
  const n = text.length;
  const before = (rank: number): number | undefined =>
    order[rank]! > 0 ? text[order[rank]! - 1]! : undefined;
  /** `left` is what stands before all places of the interval, or undefined when that differs. */
  const open: { length: number; from: number; left: number | undefined }[] = [];
  for (let r = 1; r <= n; r += 1) {
    const length = r < n ? common[r]! : 0;
    let from = r - 1;
    let left = before(r - 1);
    while (open.length > 0 && open[open.length - 1]!.length > length) {
      const closed = open.pop()!;
      const same = closed.left !== undefined && closed.left === left;
      if (!same) found.push({ length: closed.length, from: closed.from, to: r - 1 });
      left = same ? left : undefined;
      from = closed.from;
    }
    const top = open[open.length - 1];
    if (top && top.length === length) {
      if (top.left !== left) top.left = undefined;
    } else if (length > 0) {
      open.push({ length, from, left });
    }
  }
  return found;
}
