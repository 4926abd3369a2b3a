import type { EditionBar } from "./bars.ts";
import type { BarPair } from "./model.ts";

/** Bars with so much of their notes in common, from 0 to 1, are one bar that was changed. */
const leastLikeness = 0.4;
/** A table of more cells than these is kept to a band about its diagonal. */
const mostCells = 16_000_000;

/**
 * Finds which bars of two editions stand for each other.
 *
 * As many bars as possible with the same music are paired, in order (a longest common subsequence); where bars repeat
 * their music, those that are printed alike. What is left between them is paired by how many notes are the same.
 *
 * @returns each bar of either edition once; bars without a partner stand where they are, those of the old edition
 *          first. Time and memory O(n m) in bars that are not the same at the start and the end.
 */
export function alignBars(old: readonly EditionBar[], now: readonly EditionBar[]): BarPair[] {
  const isSame = (i: number, j: number): boolean =>
    old[i]!.music === now[j]!.music && old[i]!.print === now[j]!.print;
  let start = 0;
  while (start < old.length && start < now.length && isSame(start, start)) start += 1;
  let oldEnd = old.length;
  let newEnd = now.length;
  while (oldEnd > start && newEnd > start && isSame(oldEnd - 1, newEnd - 1)) {
    oldEnd -= 1;
    newEnd -= 1;
  }
  const anchors = commonSubsequence(old.slice(start, oldEnd), now.slice(start, newEnd), sameMusic);
  const pairs: BarPair[] = [];
  for (let i = 0; i < start; i += 1) pairs.push({ old: i, new: i });
  let [i, j] = [start, start];
  for (const [a, b] of [...anchors, [oldEnd - start, newEnd - start] as const]) {
    pairs.push(...alignNear(old, now, { i, j, iEnd: start + a, jEnd: start + b }));
    if (start + a < oldEnd) pairs.push({ old: start + a, new: start + b });
    [i, j] = [start + a + 1, start + b + 1];
  }
  for (let k = oldEnd; k < old.length; k += 1) pairs.push({ old: k, new: k - oldEnd + newEnd });
  return pairs;
}

/** Music counts more than any number of prints that are alike. */
function sameMusic(a: EditionBar, b: EditionBar): number {
  if (a.music !== b.music) return 0;
  return 1 + (a.print === b.print ? 1 : likeness(a.print, b.print) / 2) / 10_000;
}

function alignNear(
  old: readonly EditionBar[],
  now: readonly EditionBar[],
  {
    i,
    j,
    iEnd,
    jEnd,
  }: { readonly i: number; readonly j: number; readonly iEnd: number; readonly jEnd: number },
): BarPair[] {
  const near = commonSubsequence(old.slice(i, iEnd), now.slice(j, jEnd), (a, b) => {
    const alike = likeness(a.music, b.music);
    return alike >= leastLikeness ? alike : 0;
  });
  const pairs: BarPair[] = [];
  let [a, b] = [i, j];
  for (const [nextA, nextB] of [...near, [iEnd - i, jEnd - j] as const]) {
    for (; a < i + nextA; a += 1) pairs.push({ old: a, new: undefined });
    for (; b < j + nextB; b += 1) pairs.push({ old: undefined, new: b });
    if (a < iEnd && b < jEnd) pairs.push({ old: a, new: b });
    [a, b] = [a + 1, b + 1];
  }
  return pairs;
}

/** The share of what two sorted lists have in common, from 0 to 1. */
function likeness(a: string, b: string): number {
  if (a === "" || b === "") return 0;
  const [left, right] = [a.split("|"), b.split("|")];
  let [i, j, common] = [0, 0, 0];
  while (i < left.length && j < right.length) {
    if (left[i] === right[j]) {
      common += 1;
      i += 1;
      j += 1;
    } else if (left[i]! < right[j]!) i += 1;
    else j += 1;
  }
  return (2 * common) / (left.length + right.length);
}

/**
 * The pairs, in order, whose gains come to the most in all.
 * @param gain of pairing two elements; 0 for those that cannot be paired.
 */
function commonSubsequence<T>(
  a: readonly T[],
  b: readonly T[],
  gain: (a: T, b: T) => number,
): (readonly [number, number])[] {
  const columns = b.length + 1;
  const band = Math.max(1000, Math.floor(mostCells / (a.length + 1) / 2));
  const best = new Float64Array((a.length + 1) * columns);
  const isPair = new Uint8Array(best.length);
  for (let i = a.length - 1; i >= 0; i -= 1) {
    const middle = a.length === 0 ? 0 : Math.round((i * b.length) / a.length);
    for (let j = b.length - 1; j >= 0; j -= 1) {
      const cell = i * columns + j;
      const apart = Math.max(best[cell + columns]!, best[cell + 1]!);
      const gained = Math.abs(j - middle) > band ? 0 : gain(a[i]!, b[j]!);
      const together = gained > 0 ? gained + best[cell + columns + 1]! : -1;
      best[cell] = Math.max(apart, together);
      isPair[cell] = together >= apart ? 1 : 0;
    }
  }
  const pairs: [number, number][] = [];
  let [i, j] = [0, 0];
  while (i < a.length && j < b.length) {
    const cell = i * columns + j;
    if (isPair[cell]) {
      pairs.push([i, j]);
      i += 1;
      j += 1;
    } else if (best[cell + columns]! >= best[cell + 1]!) i += 1;
    else j += 1;
  }
  return pairs;
}
