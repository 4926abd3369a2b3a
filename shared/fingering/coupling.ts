import type { HandTable, TableNode } from "./handTable.ts";
import type { Weights } from "./weights.ts";

/** What two hands cost each other. All costs are integer thousandths, at least 0. */
export class Coupling {
  readonly #weights: Weights;

  constructor(weights: Weights) {
    this.#weights = weights;
  }

  /**
   * A hand looks for event `to` with weight `look` while the other hand's latest look, of weight `otherLook`, was for
   * its event `otherTo`.
   */
  glance(a: HandTable, to: number, look: number, b: HandTable, otherTo: number, otherLook: number): number {
    if (look === 0 || otherLook === 0) return 0;
    const { lookMicros, nearStrings, nearSpan } = this.#weights.glance;
    if (Math.abs(a.times[to]! - b.times[otherTo]!) >= lookMicros) return 0;
    const here = a.costs.strings[to]!;
    const there = b.costs.strings[otherTo]!;
    const low = Math.min(here[0]!, there[0]!);
    const high = Math.max(here[here.length - 1]!, there[there.length - 1]!);
    if (high - low <= nearSpan) return 0;
    const apart = Math.max(there[0]! - here[here.length - 1]!, here[0]! - there[there.length - 1]!);
    return apart > nearStrings ? Math.min(look, otherLook) : 0;
  }

  /** Both placings want one string: a finger waits on it while the other hand plays or holds it. */
  oneString(a: HandTable, x: TableNode, b: HandTable, y: TableNode): number {
    if (x.lowest > y.highest || y.lowest > x.highest) return 0;
    const both = Math.max(a.times[x.first]!, b.times[y.first]!);
    let cost = 0;
    for (let event = x.first; event <= x.last; event += 1) {
      for (const string of a.costs.strings[event]!) {
        for (let other = y.first; other <= y.last; other += 1) {
          if (!b.costs.strings[other]!.includes(string)) continue;
          const here = a.times[event]!;
          const there = b.times[other]!;
          // One instant, one string: written so, whatever the fingering.
          if (here !== there && both <= Math.min(here, there)) cost += this.#weights.impossible;
        }
      }
    }
    return cost;
  }

  /** The right hand works below the left while both stand on the strings. */
  interlocked(a: HandTable, x: TableNode, b: HandTable, y: TableNode): number {
    const [right, left] = a.hand === "right" ? [x, y] : [y, x];
    if (right.highest >= left.highest - this.#weights.interlocked.beyondSteps) return 0;
    const together =
      Math.max(a.times[x.first]!, b.times[y.first]!) <= Math.min(a.times[x.last]!, b.times[y.last]!);
    return together ? this.#weights.interlocked.cost : 0;
  }
}
