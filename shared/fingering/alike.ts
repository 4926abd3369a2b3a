import type { HandName } from "./model.ts";
import type { Tie } from "./tied.ts";

/** An event of a hand; as a step, from it to the next. */
export interface Place {
  readonly hand: HandName;
  readonly event: number;
}

/** What ties make alike, directly or by way of others. */
export interface Alike {
  readonly events: Groups;
  readonly steps: Groups;
}

/**
 * Which events, and which steps from event to event, have to be fingered alike. Passages overlap: a figure may stand
 * twice within a longer passage, so that what is decided at one place reaches further than that passage's own places.
 */
export function alikeBy(ties: readonly Tie[]): Alike {
  const events = new Groups();
  const steps = new Groups();
  for (const { occurrences } of ties) {
    const [model, ...others] = occurrences;
    if (!model) continue;
    for (let at = 0; at <= model.last - model.first; at += 1) {
      const here = { hand: model.hand, event: model.first + at };
      for (const other of others) {
        const there = { hand: other.hand, event: other.first + at };
        events.join(here, there);
        if (model.first + at < model.last) steps.join(here, there);
      }
    }
  }
  return { events, steps };
}

/** Places in groups that grow together. */
export class Groups {
  readonly #groups = new Map<string, Place[]>();

  join(a: Place, b: Place): void {
    const first = this.#groupOf(a);
    const second = this.#groupOf(b);
    if (first === second) return;
    const [larger, smaller] = first.length >= second.length ? [first, second] : [second, first];
    for (const place of smaller) {
      larger.push(place);
      this.#groups.set(keyOf(place), larger);
    }
  }

  /** The place and all that are in its group. */
  with(place: Place): readonly Place[] {
    return this.#groups.get(keyOf(place)) ?? [place];
  }

  #groupOf(place: Place): Place[] {
    const key = keyOf(place);
    let group = this.#groups.get(key);
    if (!group) {
      group = [place];
      this.#groups.set(key, group);
    }
    return group;
  }
}

function keyOf({ hand, event }: Place): string {
  return `${hand} ${event}`;
}
