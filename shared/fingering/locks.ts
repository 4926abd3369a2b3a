import type { LineCosts, PlacingChoice } from "./costs.ts";
import type { FingeringLine, Locks } from "./model.ts";

/** At most so many strings of an event have a finger. */
const mostFingers = 4;

/** What is decided of the placing that holds an event: that it goes on to the next one, or that it ends. */
const goesOn = 1;
const ends = 2;

/** Which decisions of the user a placing or a joint would break. */
export class LockCheck {
  readonly #costs: LineCosts;
  /** Flat: wanted[event × 4 + i] is the finger decided for the i-th string that the hand has fingers for; 0 for none. */
  readonly #wanted: Uint8Array;
  /** For each event, whether a placing that holds it goes on to the next one. */
  readonly #joined: Uint8Array;
  readonly #placings: Locks["placings"];
  readonly #hasPlacings: boolean;
  /** For each event, the locked placings that hold it. */
  readonly #covering: readonly (readonly number[])[];
  /** decidedBefore[event]: how many events before it have anything decided. */
  readonly #decidedBefore: Int32Array;

  constructor({ events, locks }: FingeringLine, costs: LineCosts) {
    this.#costs = costs;
    this.#placings = locks?.placings ?? [];
    this.#hasPlacings = this.#placings.length > 0;
    this.#wanted = new Uint8Array(events.length * mostFingers);
    this.#joined = new Uint8Array(events.length);
    for (let event = 0; locks && event < events.length; event += 1) {
      const row = locks.fingers[event];
      const strings = costs.strings[event]!;
      const offset = row ? events[event]!.strings.indexOf(strings[0]!) : 0;
      for (let i = 0; row && i < strings.length; i += 1)
        this.#wanted[event * mostFingers + i] = row[offset + i] ?? 0;
      const joined = locks.joined?.[event];
      if (joined !== undefined) this.#joined[event] = joined ? goesOn : ends;
    }
    const covering: number[][] = this.#hasPlacings ? events.map(() => []) : [];
    this.#placings.forEach(({ first, last }, index) => {
      for (let event = first; event <= last; event += 1) covering[event]!.push(index);
    });
    this.#covering = covering;
    this.#decidedBefore = new Int32Array(events.length + 1);
    for (let event = 0; event < events.length; event += 1) {
      this.#decidedBefore[event + 1] = this.#decidedBefore[event]! + (this.#isDecided(event) ? 1 : 0);
    }
  }

  /** Whether anything is decided. */
  get hasDecisions(): boolean {
    return this.#decidedBefore[this.#decidedBefore.length - 1]! > 0;
  }

  #isDecided(event: number): boolean {
    const at = event * mostFingers;
    const fingers = this.#wanted[at]! + this.#wanted[at + 1]! + this.#wanted[at + 2]! + this.#wanted[at + 3]!;
    return fingers > 0 || this.#joined[event]! > 0 || (this.#covering[event]?.length ?? 0) > 0;
  }

  /** The number of decisions that this placing breaks. */
  brokenBy(choice: PlacingChoice): number {
    const { first, last, strings, fingers } = choice;
    if (this.#decidedBefore[first] === this.#decidedBefore[last + 1]) return 0;
    let broken = 0;
    for (let event = first; event <= last; event += 1) {
      const here = this.#costs.strings[event]!;
      const from = strings.indexOf(here[0]!);
      for (let i = 0; i < here.length; i += 1) {
        const wanted = this.#wanted[event * mostFingers + i]!;
        if (wanted !== 0 && wanted !== fingers[from + i]) broken += 1;
      }
      if (event < last && this.#joined[event] === ends) broken += 1;
    }
    return this.#hasPlacings ? broken + this.#clashes(choice) : broken;
  }

  /** Locked placings that this one crosses: sharing more than a turning note without being the same. */
  #clashes(choice: PlacingChoice): number {
    let clashes = 0;
    for (let event = choice.first; event <= choice.last; event += 1) {
      for (const index of this.#covering[event]!) {
        const { first, last } = this.#placings[index]!;
        const isCounted = event > choice.first && first < event;
        if (isCounted || (first === choice.first && last === choice.last)) continue;
        // A placing of one event has no edge to share: whatever else holds the event, holds all of it.
        const onlyEdge = first < last && (choice.last === first || choice.first === last);
        if (!onlyEdge) clashes += 1;
      }
    }
    return clashes;
  }

  /** The number of locked placings that are cut when one placing ends at `event` and the next starts after it. */
  brokenByCutAfter(event: number): number {
    let broken = this.#joined[event] === goesOn ? 1 : 0;
    if (!this.#hasPlacings) return broken;
    for (const index of this.#covering[event]!) {
      if (this.#placings[index]!.last > event) broken += 1;
    }
    return broken;
  }
}
