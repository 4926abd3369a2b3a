import type { Analysis } from "../../shared/service/analyse.ts";
import { InputError } from "../../shared/text/problem.ts";

/**
 * Reads the value of `--bars`: `9-16` or `9`, by the numbers that are printed.
 * @throws InputError when the score has no such bars, or they stand the other way round.
 */
export function readBars(text: string, { harp }: Analysis): { first: string; last: string } {
  const numbers = barNumbers(harp);
  if (numbers.includes(text)) return { first: text, last: text };
  const dash = text.indexOf("-", 1);
  const [first, last] = dash < 0 ? [text, text] : [text.slice(0, dash), text.slice(dash + 1)];
  checkBars(numbers, first, last, {
    missing: (bar, all) => `--bars: there is no bar ${bar}. ${all}; write --bars FROM-TO.`,
    turned: `--bars ${text}: bar ${first} comes after bar ${last}. Write --bars ${last}-${first}.`,
  });
  return { first, last };
}

/** The bars of a harp by the numbers that are printed, in order. */
export function barNumbers(harp: Analysis["harp"]): readonly string[] {
  return harp?.parts[0]?.measures.map(({ number }) => number) ?? [];
}

/** How those who chose bars are told what is wrong. */
export interface BarTroubles {
  /** @param all how the bars are numbered, in a sentence without its end. */
  missing(bar: string, all: string): string;
  readonly turned: string;
}

/** @throws InputError when there are no such bars, or they stand the other way round. */
export function checkBars(
  numbers: readonly string[],
  first: string,
  last: string,
  { missing, turned }: BarTroubles,
): void {
  for (const number of [first, last]) {
    if (numbers.includes(number)) continue;
    const all = `The bars are numbered from ${numbers[0]} to ${numbers.at(-1)}`;
    throw new InputError(missing(JSON.stringify(number), all));
  }
  if (numbers.indexOf(first) > numbers.lastIndexOf(last)) throw new InputError(turned);
}
