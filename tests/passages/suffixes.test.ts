import { describe, expect, test } from "vitest";
import { findRuns } from "../../shared/passages/runs.ts";
import { commonPrefixes, maximalRepeats, suffixArray } from "../../shared/passages/suffixes.ts";
import { Dice } from "../support/randomLines.ts";

function randomText(dice: Dice): Int32Array {
  const alphabet = dice.oneOf([1, 2, 3, 10, 700]);
  return Int32Array.from({ length: dice.whole(0, 40) }, () => dice.whole(-2, alphabet - 2));
}

const texts = Array.from({ length: 2000 }, (_, seed) => randomText(new Dice(seed + 1)));

function compareSuffixes(text: Int32Array, a: number, b: number): number {
  let [i, j] = [a, b];
  while (i < text.length && j < text.length && text[i] === text[j]) [i, j] = [i + 1, j + 1];
  if (i === text.length || j === text.length) return b - a;
  return text[i]! - text[j]!;
}

describe("2000 random texts, against trying everything", () => {
  test("suffixes are in order", () => {
    for (const text of texts) {
      const byComparing = [...text.keys()].sort((a, b) => compareSuffixes(text, a, b));
      expect([...suffixArray(text)], String(text)).toEqual(byComparing);
    }
  });

  test("common prefixes have their length", () => {
    for (const text of texts) {
      const order = suffixArray(text);
      const common = [...order].map((b, rank) => {
        const a = order[rank - 1];
        let length = 0;
        while (a !== undefined && b + length < text.length && text[a + length] === text[b + length])
          length += 1;
        return length;
      });
      expect([...commonPrefixes(text, order)], String(text)).toEqual(common);
    }
  });

  test("maximal repeats are all those that cannot be made longer", () => {
    for (const text of texts.slice(0, 600)) {
      const order = suffixArray(text);
      const found = maximalRepeats(text, order, commonPrefixes(text, order)).map(({ length, from, to }) =>
        [length, ...[...order.subarray(from, to + 1)].sort((a, b) => a - b)].join(" "),
      );
      expect(found.sort(), String(text)).toEqual(maximalByTrying(text).sort());
    }
  });

  test("runs are all stretches that repeat themselves at once", () => {
    for (const text of texts.slice(0, 600)) {
      const found = findRuns(text, 3).map(({ period, start, end }) => `${period} ${start} ${end}`);
      expect(found.sort(), String(text)).toEqual(runsByTrying(text, 3).sort());
    }
  });
});

test("a long text of one number is sorted in time", () => {
  const text = new Int32Array(50_000);
  expect(suffixArray(text)[0]).toBe(49_999);
});

/** `length start start …` of every string with two places or more whose places differ before and after it. */
function maximalByTrying(text: Int32Array): string[] {
  const found: string[] = [];
  for (let length = 1; length < text.length; length += 1) {
    const places = new Map<string, number[]>();
    for (let i = 0; i + length <= text.length; i += 1) {
      const key = text.subarray(i, i + length).join(" ");
      places.set(key, [...(places.get(key) ?? []), i]);
    }
    for (const starts of places.values()) {
      if (starts.length < 2) continue;
      const before = new Set(starts.map((start) => text[start - 1] ?? `edge ${start}`));
      const after = new Set(starts.map((start) => text[start + length] ?? `edge ${start}`));
      if (before.size > 1 && after.size > 1) found.push([length, ...starts].join(" "));
    }
  }
  return found;
}

/** `period start end` of every stretch that is a figure `times` times in a row, as long as possible. */
function runsByTrying(text: Int32Array, times: number): string[] {
  const found: string[] = [];
  for (let start = 0; start < text.length; start += 1) {
    for (let end = start + 2; end <= text.length; end += 1) {
      const period = shortestPeriod(text.subarray(start, end));
      // The step out of the last figure is not part of it.
      if (end - start < period * times - 1 || end - start <= period) continue;
      const longer = (from: number, to: number): boolean =>
        from >= 0 && to <= text.length && hasPeriod(text.subarray(from, to), period);
      if (!longer(start - 1, end) && !longer(start, end + 1)) found.push(`${period} ${start} ${end}`);
    }
  }
  return found;
}

function hasPeriod(text: Int32Array, period: number): boolean {
  return text.every((value, i) => i < period || value === text[i - period]);
}

function shortestPeriod(text: Int32Array): number {
  let period = 1;
  while (!hasPeriod(text, period)) period += 1;
  return period;
}
