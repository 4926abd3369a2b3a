import type { HandLine } from "../score/handLines.ts";
import type { Score } from "../score/model.ts";
import { format } from "../score/rational.ts";
import type { Passages } from "./model.ts";
import { barsNotLeft, mannerOf } from "./tokens.ts";

/** What came back in the last few scores that were looked at, by their notes: fingers and brackets do not count. */
export class PassageMemory {
  /** The one that was asked for last comes last. */
  readonly #known = new Map<string, Passages>();
  readonly #most: number;

  /** @param most scores that are remembered. */
  constructor(most = 2) {
    this.#most = most;
  }

  /** What is known to come back in music like this, or else what `find` gives. */
  passages(lines: readonly HandLine[], score: Score, find: () => Passages): Passages {
    const key = keyOf(lines, score);
    const found = this.#known.get(key) ?? find();
    this.#known.delete(key);
    this.#known.set(key, found);
    for (const oldest of this.#known.keys()) {
      if (this.#known.size <= this.#most) break;
      this.#known.delete(oldest);
    }
    return found;
  }
}

/** Everything that a search for passages looks at. */
function keyOf(lines: readonly HandLine[], score: Score): string {
  const pieces = [barsNotLeft(score).join()];
  for (const { hand, events } of lines) {
    pieces.push(hand);
    for (const event of events) {
      const { measure, position } = event.notes[0]!.note;
      const strings = event.notes.map((entry) => entry.string).join(" ");
      const manner = mannerOf(event);
      pieces.push(`${strings}${manner},${measure.index},${format(position)},${format(event.onset)}`);
    }
  }
  return pieces.join(";");
}
