/** A stretch of a text that repeats itself at once: text[i] = text[i + period] from `start` to `end`. */
export interface Run {
  readonly period: number;
  readonly start: number;
  /** First index after the stretch. */
  readonly end: number;
}

/** Ostinati with a longer period than this are found as ordinary returns. */
export const longestPeriod = 256;

/**
 * The stretches where a figure stands at least `times` times in a row, each by its shortest period.
 * A figure of `period` events in a row `times` times has period × times − 1 numbers: the step out of the last one is
 * not part of it.
 *
 * @returns by period, then by start. Time O(n × longestPeriod).
 */
export function findRuns(text: Int32Array, times: number): Run[] {
  const runs: Run[] = [];
  const n = text.length;
  for (let period = 1; period <= longestPeriod && period * times - 1 <= n; period += 1) {
    let start = 0;
    for (let i = 0; i + period <= n; i += 1) {
      if (i + period < n && text[i] === text[i + period]) continue;
      const end = i + period;
      if (
        end - start >= period * times - 1 &&
        end - start > period &&
        !hasShorterPeriod(text, start, period)
      ) {
        runs.push({ period, start, end });
      }
      start = i + 1;
    }
  }
  return runs;
}

function hasShorterPeriod(text: Int32Array, start: number, period: number): boolean {
  for (let shorter = 1; shorter <= period / 2; shorter += 1) {
    if (period % shorter !== 0) continue;
    let same = true;
    for (let i = start; same && i + shorter < start + period; i += 1) same = text[i] === text[i + shorter];
    if (same) return true;
  }
  return false;
}
