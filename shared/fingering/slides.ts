import type { Finger, FingeringLine } from "./model.ts";
import type { SlidePolicy } from "./weights.ts";

/**
 * The finger that can play a string and slide on to another: the thumb to the next lower one, 4 to the next higher one;
 * undefined between other strings.
 * Source: E. Volpé Bligh, Writing for the pedal harp.
 */
export function slidingFinger(from: number, to: number): Finger | undefined {
  if (to === from - 1) return 1;
  return to === from + 1 ? 4 : undefined;
}

/** How many events a placing of this line can hold: four notes, and one more where a finger may slide. */
export function mostEventsPlaced(line: FingeringLine, policy: SlidePolicy): number {
  return allowedSlides(line, policy).some((finger) => finger !== undefined) ? 5 : 4;
}

/** slides[i]: the finger that may slide from event i to event i + 1, both single notes; undefined where none may. */
export function allowedSlides(line: FingeringLine, policy: SlidePolicy): (Finger | undefined)[] {
  if (policy === "never") return [];
  const { events, locks } = line;
  return events.slice(1).map((to, i) => {
    const from = events[i]!;
    if (from.strings.length !== 1 || to.strings.length !== 1 || to.cutBefore || to.handFreeBefore)
      return undefined;
    const finger = slidingFinger(from.strings[0]!, to.strings[0]!);
    if (policy === "propose" || finger === undefined) return finger;
    const kept = locks?.fingers[i]?.[0] === finger && locks.fingers[i + 1]?.[0] === finger;
    return from.slidesOn && kept ? finger : undefined;
  });
}
