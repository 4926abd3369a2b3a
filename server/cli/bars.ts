import type { Analysis } from "../../shared/service/analyse.ts";
import { InputError } from "../../shared/text/problem.ts";

/**
 * Reads the value of `--bars`: `9-16` or `9`, by the numbers that are printed.
 * @throws InputError when the score has no such bars, or they stand the other way round.
 */
export function readBars(text: string, { harp }: Analysis): { first: string; last: string } {
  const measures = harp?.parts[0]?.measures ?? [];
  const numbers = measures.map(({ number }) => number);
  if (numbers.includes(text)) return { first: text, last: text };
  const dash = text.indexOf("-", 1);
  if (dash < 0) throw noBar(text, numbers);
  const first = text.slice(0, dash);
  const last = text.slice(dash + 1);
  for (const number of [first, last]) if (!numbers.includes(number)) throw noBar(number, numbers);
  if (numbers.indexOf(first) > numbers.lastIndexOf(last)) {
    throw new InputError(
      `--bars ${text}: bar ${first} comes after bar ${last}. Write --bars ${last}-${first}.`,
    );
  }
  return { first, last };
}

function noBar(number: string, numbers: readonly string[]): InputError {
  return new InputError(
    `--bars: there is no bar ${JSON.stringify(number)}. The bars are numbered from ${numbers[0]} to ${numbers[numbers.length - 1]}; write --bars FROM-TO.`,
  );
}
