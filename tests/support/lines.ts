/** Lines from the way one would write them down. */
import type { Finger, FingeringEvent, FingeringLine, HandName } from "../../shared/fingering/model.ts";

/** The string of a pitch such as `C4` or `F#5`; sharps and flats do not change it. */
export function stringOf(pitch: string): number {
  const parts = /^([A-G])[#b]*(\d)$/.exec(pitch);
  if (!parts) throw new RangeError(`not a pitch: ${pitch}`);
  return 7 * Number(parts[2]) + "CDEFGAB".indexOf(parts[1]!);
}

export interface Manner {
  readonly hand?: HandName;
  /** Seconds from event to event: one for all, or one each; the last is used on. */
  readonly seconds?: number | readonly number[];
  readonly rolled?: boolean;
}

/** A line from `C4 D4 E4+G4`: events in order, the notes of a chord joined, lowest first. */
export function lineOf(
  written: string,
  { hand = "right", seconds = 0.3, rolled }: Manner = {},
): FingeringLine {
  const gaps = typeof seconds === "number" ? [seconds] : seconds;
  let at = 0;
  const events = written.split(" ").map((chord, i): FingeringEvent => {
    const atMicros = Math.round(at * 1e6);
    at += gaps[Math.min(i, gaps.length - 1)]!;
    return { strings: chord.split("+").map(stringOf), atMicros, rolled };
  });
  return { hand, events };
}

/** A line on the given strings, one note an event. */
export function notesOn(strings: readonly number[], seconds = 0.3, hand: HandName = "right"): FingeringLine {
  return {
    hand,
    events: strings.map((string, i) => ({ strings: [string], atMicros: Math.round(i * seconds * 1e6) })),
  };
}

/** Strings `from` upwards, or down to it when `count` is negative. */
export function scale(count: number, from = 28): number[] {
  const upwards = Array.from({ length: Math.abs(count) }, (_, i) => from + i);
  return count < 0 ? upwards.reverse() : upwards;
}

/** The line with some fingers decided: `4 . 3+.`, one word an event, a dot where the choice is free. */
export function withFingers(line: FingeringLine, written: string): FingeringLine {
  const fingers = written
    .split(" ")
    .map((chord) => chord.split("+").map((digit) => (digit === "." ? undefined : (Number(digit) as Finger))));
  return { ...line, locks: { fingers, placings: line.locks?.placings ?? [] } };
}

/** The line with some placings decided, as inclusive ranges of events. */
export function withPlacings(line: FingeringLine, ...ranges: (readonly [number, number])[]): FingeringLine {
  const placings = ranges.map(([first, last]) => ({ first, last }));
  return { ...line, locks: { fingers: line.locks?.fingers ?? [], placings } };
}
