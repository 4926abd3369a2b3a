/** Random lines that come out the same on every machine: the seed is the line's name. */
import type { FingeringEvent, FingeringLine, HandName } from "../../shared/fingering/model.ts";

/** Source: mulberry32 by Tommy Ettinger, public domain. */
export class Dice {
  #state: number;

  constructor(seed: number) {
    this.#state = seed >>> 0;
  }

  /** 0 up to 1, without 1. */
  fraction(): number {
    this.#state = (this.#state + 0x6d2b79f5) >>> 0;
    let mixed = this.#state;
    mixed = Math.imul(mixed ^ (mixed >>> 15), mixed | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  }

  /** A whole number from `least` to `most`, both included. */
  whole(least: number, most: number): number {
    return least + Math.floor(this.fraction() * (most - least + 1));
  }

  chance(probability: number): boolean {
    return this.fraction() < probability;
  }

  oneOf<T>(choices: readonly T[]): T {
    return choices[this.whole(0, choices.length - 1)]!;
  }
}

export interface LineShape {
  readonly events: number;
  readonly hand?: HandName;
  /** Notes of equal length, none held. */
  readonly even?: boolean;
  /** Strings are kept at or above this one. */
  readonly lowest?: number;
  /** How often an event is a chord. */
  readonly chords?: number;
  /** How often a chord is rolled. */
  readonly rolls?: number;
}

/** Lengths that turn every cost on and off: graces and the edges of the limits, what music goes in, long notes. */
const graceLengths = [0, 40_000, 50_000, 60_000, 90_000, 150_000, 190_000];
const lengths = [210_000, 250_000, 300_000, 330_000, 360_000, 400_000, 500_000, 600_000, 700_000];
const longLengths = [800_000, 900_000, 1_050_000, 1_200_000, 1_600_000, 2_400_000];

/** A line with runs, turns, leaps, repeated strings and chords, so that every joint and every term occurs. */
export function randomLine(dice: Dice, shape: LineShape): FingeringLine {
  const { even = false, lowest = 7, chords = dice.oneOf([0, 0, 0.2, 0.5]), rolls = 0.1 } = shape;
  const usual = dice.chance(0.1) ? dice.oneOf(graceLengths) : dice.oneOf(lengths);
  const step = dice.oneOf([1, 1, 1, 2, 2, 3]);
  const events: FingeringEvent[] = [];
  let at = 0;
  let place = dice.whole(lowest + 4, 42);
  let heading = dice.chance(0.5) ? 1 : -1;
  for (let i = 0; i < shape.events; i++) {
    if (dice.chance(0.35)) heading = -heading;
    if (i > 0) place += moved(dice, heading, step);
    place = Math.min(46, Math.max(lowest, place));
    const strings = dice.chance(chords) ? chordOn(dice, place, lowest) : [place];
    const event: FingeringEvent = { strings, atMicros: at };
    events.push({
      ...event,
      ...(strings.length > 1 && dice.chance(rolls) ? { rolled: true } : {}),
      ...(!even && dice.chance(0.03) ? { held: true } : {}),
    });
    at += even ? usual : lengthOf(dice, usual);
  }
  return { hand: shape.hand ?? dice.oneOf(["right", "left"] as const), events };
}

function moved(dice: Dice, heading: number, step: number): number {
  if (dice.chance(0.1)) return 0;
  if (dice.chance(0.1)) return heading * dice.whole(5, 14);
  if (dice.chance(0.25)) return heading * dice.whole(2, 5);
  return heading * step;
}

function chordOn(dice: Dice, place: number, lowest: number): number[] {
  const strings = [place];
  const notes = dice.oneOf([2, 2, 2, 3, 3, 4]);
  const gap = dice.oneOf([2, 2, 3, 4, 6]);
  while (strings.length < notes) strings.push(strings.at(-1)! + dice.whole(1, gap));
  // Hung from its top as often as built on its bottom, so that chords join lines from both sides.
  const drop = dice.chance(0.5) ? Math.min(place - lowest, strings.at(-1)! - place) : 0;
  return strings.map((string) => string - drop);
}

function lengthOf(dice: Dice, usual: number): number {
  if (dice.chance(0.5)) return usual;
  if (dice.chance(0.2)) return dice.oneOf(longLengths);
  if (dice.chance(0.15)) return dice.oneOf(graceLengths);
  // Off the round values, so that rounding to thousandths is put to the test.
  return dice.chance(0.3) ? dice.whole(30_000, 1_500_000) : dice.oneOf(lengths);
}

/** The same music backwards: the last event first, every time from event to event kept. */
export function backwards(line: FingeringLine): FingeringLine {
  const end = line.events.at(-1)?.atMicros ?? 0;
  const events = line.events.map((event) => ({ ...event, atMicros: end - event.atMicros })).reverse();
  return { hand: line.hand, events };
}

/** The same music on other strings. */
export function shifted(line: FingeringLine, steps: number): FingeringLine {
  const events = line.events.map((event) => ({
    ...event,
    strings: event.strings.map((string) => string + steps),
  }));
  return { ...line, events };
}

/** The same music at `times` the length. */
export function slowed(line: FingeringLine, times: number): FingeringLine {
  return { ...line, events: line.events.map((event) => ({ ...event, atMicros: event.atMicros * times })) };
}

export function otherHand(line: FingeringLine): FingeringLine {
  return { ...line, hand: line.hand === "right" ? "left" : "right" };
}
