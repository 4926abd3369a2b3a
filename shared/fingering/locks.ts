import { fingersAt } from "./choices.ts";
import type { LineCosts, PlacingChoice } from "./costs.ts";
import type { FingeringLine, Locks } from "./model.ts";

/** Which decisions of the user a placing or a joint would break. */
export class LockCheck {
  readonly #locks: Locks | undefined;
  readonly #costs: LineCosts;
  /** For each event, the locked placings that hold it. */
  readonly #covering: (readonly number[])[] = [];
  /** unplayedBelow[i]: how many of the event's lowest strings have no finger in the search. */
  readonly #offset: readonly number[];

  constructor(line: FingeringLine, costs: LineCosts) {
    this.#locks = line.locks;
    this.#costs = costs;
    this.#offset = line.events.map((event, i) => event.strings.indexOf(costs.strings[i]![0]!));
    line.locks?.placings.forEach(({ first, last }, index) => {
      for (let event = first; event <= last; event += 1) {
        this.#covering[event] = [...(this.#covering[event] ?? []), index];
      }
    });
  }

  /** The number of decisions that this placing breaks. */
  brokenBy(choice: PlacingChoice): number {
    if (!this.#locks) return 0;
    let broken = 0;
    for (let event = choice.first; event <= choice.last; event += 1) {
      const locked = this.#locks.fingers[event];
      if (!locked) continue;
      const used = fingersAt(this.#costs, choice, event);
      used.forEach((finger, i) => {
        const wanted = locked[i + this.#offset[event]!];
        if (wanted !== undefined && wanted !== finger) broken += 1;
      });
    }
    for (let event = choice.first; event < choice.last; event += 1) {
      if (this.#locks.joined?.[event] === false) broken += 1;
    }
    return broken + this.#clashes(choice);
  }

  /** Locked placings that this one crosses: sharing more than a turning note without being the same. */
  #clashes(choice: PlacingChoice): number {
    const seen = new Set<number>();
    for (let event = choice.first; event <= choice.last; event += 1) {
      for (const index of this.#covering[event] ?? []) seen.add(index);
    }
    let clashes = 0;
    for (const index of seen) {
      const { first, last } = this.#locks!.placings[index]!;
      if (first === choice.first && last === choice.last) continue;
      // A placing of one event has no edge to share: whatever else holds the event, holds all of it.
      const onlyEdge = first < last && (choice.last === first || choice.first === last);
      if (!onlyEdge) clashes += 1;
    }
    return clashes;
  }

  /** The number of locked placings that are cut when one placing ends at `event` and the next starts after it. */
  brokenByCutAfter(event: number): number {
    let broken = this.#locks?.joined?.[event] === true ? 1 : 0;
    for (const index of this.#covering[event] ?? []) {
      if (this.#locks!.placings[index]!.last > event) broken += 1;
    }
    return broken;
  }
}
