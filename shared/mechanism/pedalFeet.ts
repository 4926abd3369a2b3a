import type { PedalChange } from "./pedalPlan.ts";

/** Each foot has its pedals: D C B the left, E F G A the right (C = 0 … B = 6). Source: harpspectrum.org. */
export function footOf(letter: number): "left" | "right" {
  return letter === 0 || letter === 1 || letter === 6 ? "left" : "right";
}

/** The letters in the order in which the pedals stand: D C B left, E F G A right. Source: MusicXML 4.0, harp-pedals. */
export const pedalOrder: readonly number[] = [1, 0, 6, 2, 3, 4, 5];

/**
 * What a foot needs for one move: about two changes a second.
 * Source: E. Volpé Bligh, Writing for the pedal harp.
 */
export const pedalMicros = 500_000;

/**
 * The changes that come too late even if each foot always makes the most urgent one next: between the last note that
 * needs a pedal as it was and the first that needs it otherwise there is no time.
 *
 * @param changes in the order of the notes that need them.
 * Source: earliest deadline first, Jackson, "Scheduling a production line to minimize maximum tardiness", 1955; a foot
 *         that waits for a note to be over may do an earlier change meanwhile.
 */
export function changesTooClose(changes: readonly PedalChange[]): PedalChange[] {
  return (["left", "right"] as const).flatMap((foot) =>
    lateOn(changes.filter(({ letter }) => footOf(letter) === foot)),
  );
}

function lateOn(changes: readonly PedalChange[]): PedalChange[] {
  const late: PedalChange[] = [];
  let free = Number.NEGATIVE_INFINITY;
  for (const change of changes) {
    const from = Math.max(free, change.last?.atMicros ?? Number.NEGATIVE_INFINITY);
    if (from + pedalMicros > change.next.atMicros) late.push(change);
    // A late change is made as soon as can be; the next ones are not its fault.
    free = Math.min(Math.max(from + pedalMicros, free), change.next.atMicros);
  }
  return late;
}
