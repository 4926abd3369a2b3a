import type { BracketEnd, Part } from "../score/model.ts";
import { firstWhere } from "../text/firstWhere.ts";

/** A bracket as it stands in the text: from where to where its number is in use. */
export interface OpenBracket {
  readonly start: number;
  readonly end: number;
  readonly number: number;
  /** Both its ends, or the only one. */
  readonly ends: readonly BracketEnd[];
}

/** The brackets of a part in the order of the text. */
export class OpenBrackets {
  readonly #brackets: readonly OpenBracket[];
  /** reach[i]: how far one of the first i + 1 reaches. */
  readonly #reach: readonly number[];

  constructor(part: Part) {
    const brackets: OpenBracket[] = [];
    const started = new Map<string, BracketEnd>();
    for (const end of part.brackets) {
      const key = `${end.staff} ${end.number}`;
      if (end.type === "start") started.set(key, end);
      else if (end.type === "stop") {
        const start = started.get(key);
        brackets.push({
          start: Math.min(start?.span.start ?? end.span.start, end.span.start),
          end: end.span.end,
          number: end.number,
          ends: start ? [start, end] : [end],
        });
        started.delete(key);
      }
    }
    brackets.sort((a, b) => a.start - b.start);
    let reach = 0;
    this.#brackets = brackets;
    this.#reach = brackets.map(({ end }) => {
      reach = Math.max(reach, end);
      return reach;
    });
  }

  /** Those that are open somewhere between two offsets. Time O(log of all, and those found). */
  *between(start: number, end: number): Generator<OpenBracket> {
    const brackets = this.#brackets;
    for (let i = firstWhere(brackets.length, (at) => brackets[at]!.start >= end) - 1; i >= 0; i -= 1) {
      if (this.#reach[i]! <= start) return;
      if (brackets[i]!.end > start) yield brackets[i]!;
    }
  }
}

const known = new WeakMap<Part, OpenBrackets>();

/** The brackets of a part; found out once for each part as it was read. */
export function openBrackets(part: Part): OpenBrackets {
  let brackets = known.get(part);
  if (!brackets) {
    brackets = new OpenBrackets(part);
    known.set(part, brackets);
  }
  return brackets;
}
