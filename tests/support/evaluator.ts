/**
 * A second opinion on what a fingering costs. It shares nothing with the search but the shape of its data: the
 * numbers are typed again and every rule is written another way, so that a slip on either side shows as a difference.
 */
import type { FingeringLine, Placing } from "../../shared/fingering/model.ts";

/** As much of a placing as its cost depends on. */
export type BarePlacing = Pick<Placing, "first" | "last" | "joint" | "fingers">;

export interface Verdict {
  /** In integer thousandths. */
  readonly totalMilli: number;
  /** Why this is not a fingering of the line at all; empty when it is one. */
  readonly faults: readonly string[];
}

/** By the two fingers, upper first; prices by steps from 1. Past the end of a list the pair does not reach. */
const pairPrices: Readonly<Record<string, readonly number[]>> = {
  "12": [0, 0, 0, 600, 800, 4000],
  "13": [1500, 800, 400, 0, 0, 1000, 2000, 4000],
  "14": [2500, 1800, 1000, 800, 500, 0, 0, 300, 800, 2000, 4000],
  "23": [0, 0, 50, 2000],
  "34": [0, 100, 1200, 1700],
  "24": [1000, 400, 0, 200, 1500, 3000],
};

/** The outer fingers of three or more notes, in the same way; 0 up to a comfortable width. */
const spanPrices: Readonly<Record<string, readonly number[]>> = {
  "13": [0, 0, 0, 0, 0, 500, 1000, 2000],
  "14": [0, 0, 0, 0, 0, 0, 0, 100, 200, 1000, 2000],
  "24": [0, 0, 0, 0, 500, 1000],
};

const impossible = 50_000;
const second = 1_000_000;

/** The share of `most` that `part` is of `whole`. Multiplied before it is divided: whole numbers round the same. */
function share(most: number, part: number, whole: number): number {
  return Math.round((most * Math.min(whole, Math.max(0, part))) / whole);
}

/** What it costs to keep other fingers on the strings through a note that is felt this long. */
const holding = (gap: number): number => share(900, gap - 0.8 * second, 0.6 * second);

function medianOf(values: readonly number[]): number {
  const sorted = values.toSorted((a, b) => a - b);
  const upper = sorted[Math.floor(sorted.length / 2)]!;
  const lower = sorted[Math.ceil(sorted.length / 2) - 1]!;
  return (upper + lower) / 2;
}

/** A line with what is worked out once: times in microseconds from each event to the next. */
interface Setting {
  readonly line: FingeringLine;
  readonly real: readonly number[];
  /** As the hand takes them: among even notes even a slow one is not long. */
  readonly felt: readonly number[];
}

function settingOf(line: FingeringLine): Setting {
  const real = line.events.slice(1).map((event, i) => event.atMicros - line.events[i]!.atMicros);
  const felt = real.map((gap, i) => {
    const around = real.filter((_, j) => j !== i && Math.abs(j - i) <= 4);
    const standsOut = around.length === 0 || line.events[i]!.held || gap >= 1.5 * medianOf(around);
    return standsOut ? gap : Math.min(gap, 0.6 * second);
  });
  return { line, real, felt };
}

/** 1 when every string of event `j` lies above all of event `i`, -1 when below, 0 otherwise. */
function way({ events }: FingeringLine, i: number, j: number): -1 | 0 | 1 {
  const [from, to] = [events[i]?.strings, events[j]?.strings];
  if (!from || !to) return 0;
  if (to[0]! > from.at(-1)!) return 1;
  return to.at(-1)! < from[0]! ? -1 : 0;
}

interface FingeredNote {
  readonly string: number;
  readonly finger: number;
}

/** The notes of a placing, highest string first. */
function fromTheTop(line: FingeringLine, placing: BarePlacing): FingeredNote[] {
  const notes: FingeredNote[] = [];
  placing.fingers.forEach((digits, k) => {
    line.events[placing.first + k]!.strings.forEach((string, j) => {
      notes.push({ string, finger: digits[j] ?? 0 });
    });
  });
  return notes.sort((a, b) => b.string - a.string);
}

/** Judges fingerings of one line. */
export class Evaluator {
  readonly #setting: Setting;

  constructor(line: FingeringLine) {
    this.#setting = settingOf(line);
  }

  /** The times from each event to the next as the hand takes them, in microseconds. */
  get felt(): readonly number[] {
    return this.#setting.felt;
  }

  /** What a placing costs by itself. */
  placing(placing: BarePlacing): number {
    const { line, real, felt } = this.#setting;
    const notes = fromTheTop(line, placing);
    let cost = 500 + widthCost(notes, placing, line);
    for (const note of notes) if (note.finger === 4) cost += 200;

    if (notes.length === 1) cost += aloneCost(notes[0]!, line);
    else if (notes[0]!.finger !== 1) cost += 1500;

    for (let i = placing.first; i < placing.last; i++) {
      cost += holding(felt[i]!);
      if (real[i]! < 0.05 * second) cost += impossible;
    }
    return cost;
  }

  /** What it costs to come from one placing to the next by `to.joint`. */
  joint(from: BarePlacing, to: BarePlacing): number {
    switch (to.joint) {
      case "cross":
        return crossCost(this.#setting, from, to);
      case "separate":
        return separateCost(this.#setting, from, to);
      case "overlap":
        // A long note that two placings share is already in the waiting of the second.
        return 200;
      case "start":
        return 0;
    }
  }

  /** What keeps a placing from being one. */
  placingFaults(placing: BarePlacing): string[] {
    const { line } = this.#setting;
    const { first, last, fingers } = placing;
    const notes = fromTheTop(line, placing);
    const ways: number[] = [];
    for (let k = first; k < last; k++) ways.push(way(line, k, k + 1));
    return failing([
      [last >= first && fingers.length === last - first + 1, "events and fingers differ in number"],
      [notes.length <= 4, "more than four notes"],
      [notes.every(({ finger }) => finger >= 1 && finger <= 4), "a note without a finger"],
      [notes.every(({ finger }, k) => k === 0 || finger > notes[k - 1]!.finger), "fingers out of order"],
      [ways.every((one) => one !== 0 && one === ways[0]), "not one way"],
      [
        !ways.some((_, k) => line.events[first + 1 + k]!.handFreeBefore),
        "over a moment when the hand is free",
      ],
      [keepsFingers(line, placing), "another finger than the locked one"],
    ]);
  }

  /** What keeps a placing from following another by `to.joint`. */
  jointFaults(from: BarePlacing, to: BarePlacing): string[] {
    const { line } = this.#setting;
    const [a, b] = [from.last, to.first];
    const [end, start] = [from.fingers.at(-1)!, to.fingers[0]!];
    const alone = end.length === 1 && start.length === 1;
    const arrives = from.first < a ? way(line, a - 1, a) : undefined;
    const leaves = b < to.last ? way(line, b, b + 1) : undefined;
    if (to.joint === "overlap") {
      return failing([
        [a === b, "no note is shared"],
        [alone && end[0] === start[0], "the shared note is not one note with one finger"],
        [arrives !== undefined && leaves !== undefined, "one event alone cannot overlap"],
        [arrives !== leaves, "nothing turns"],
      ]);
    }
    if (to.joint === "separate") return failing([[b === a + 1, "not the next event"]]);
    if (to.joint !== "cross") return ["a start in the middle"];
    const onward = way(line, a, b);
    const [upper, lower] = onward > 0 ? [end[0], start[0]] : [start[0], end[0]];
    return failing([
      [b === a + 1, "not the next event"],
      [alone, "a chord cannot be crossed from or to"],
      [!line.events[b]!.handFreeBefore, "the hand is free in between"],
      [onward !== 0, "no other string"],
      [arrives === undefined || arrives === onward, "the crossing turns back"],
      [leaves === undefined || leaves === onward, "the placing turns back from its crossing"],
      [upper === 1 && lower !== undefined && lower > 1, "no finger passes the thumb"],
      [Math.abs(line.events[b]!.strings[0]! - line.events[a]!.strings[0]!) <= 3, "too far to cross"],
    ]);
  }

  /** A whole fingering: its cost, and whatever makes it none. */
  whole(placings: readonly BarePlacing[]): Verdict {
    const { line } = this.#setting;
    const faults: string[] = [];
    let totalMilli = 0;
    let before: BarePlacing | undefined;
    for (const placing of placings) {
      totalMilli += this.placing(placing);
      const found = this.placingFaults(placing);
      if (before) {
        totalMilli += this.joint(before, placing);
        found.push(...this.jointFaults(before, placing));
      } else if (placing.joint !== "start" || placing.first !== 0) {
        found.push("the line does not start here");
      }
      faults.push(...found.map((fault) => `events ${placing.first} to ${placing.last}: ${fault}`));
      before = placing;
    }
    if ((before?.last ?? -1) !== line.events.length - 1)
      faults.push("the line does not end with its placings");
    if (!keepsPlacings(line, placings)) faults.push("a locked placing is not used");
    return { totalMilli, faults };
  }
}

/** Adds up one fingering from scratch. */
export function evaluate(line: FingeringLine, placings: readonly BarePlacing[]): Verdict {
  return new Evaluator(line).whole(placings);
}

/** True when every locked placing is among these. */
export function keepsPlacings(line: FingeringLine, placings: readonly BarePlacing[]): boolean {
  const wanted = line.locks?.placings ?? [];
  return wanted.every((lock) => placings.some((own) => own.first === lock.first && own.last === lock.last));
}

function keepsFingers(line: FingeringLine, { first, fingers }: BarePlacing): boolean {
  return fingers.every((digits, k) =>
    digits.every((digit, j) => {
      const wanted = line.locks?.fingers[first + k]?.[j];
      return wanted === undefined || wanted === digit;
    }),
  );
}

function failing(claims: readonly (readonly [holds: boolean, otherwise: string])[]): string[] {
  return claims.filter(([holds]) => !holds).map(([, otherwise]) => otherwise);
}

/** A note that stands alone: the second finger, low in the left hand the fourth. */
function aloneCost(note: FingeredNote, line: FingeringLine): number {
  const low = line.hand === "left" && note.string < 21;
  switch (note.finger) {
    case 1:
      return low ? 800 : 300;
    case 2:
      return low ? 300 : 0;
    case 3:
      return low ? 300 : 500;
    default:
      return low ? 0 : 800;
  }
}

/** How far apart the fingers stand. */
function widthCost(notes: readonly FingeredNote[], placing: BarePlacing, line: FingeringLine): number {
  const [top, bottom] = [notes[0]!, notes.at(-1)!];
  const span = top.string - bottom.string;
  const rolled = placing.first === placing.last && line.events[placing.first]!.rolled === true;
  let cost = 0;

  for (const [i, high] of notes.entries()) {
    for (const [j, low] of notes.entries()) {
      // Neighbours and the outermost pair: what lies between spreads with its neighbours.
      if (j !== i + 1 && !(i === 0 && j === notes.length - 1)) continue;
      const prices = pairPrices[`${high.finger}${low.finger}`] ?? [];
      const steps = high.string - low.string;
      const beyond = steps - prices.length;
      // What is rolled may reach two strings past the widest, as a whole and for a price on top of the widest.
      const rolls = rolled && high === top && low === bottom && beyond <= 2;
      if (beyond > 0) cost += rolls ? 300 * beyond : impossible + 200 * beyond;
      if (j === i + 1 && (beyond <= 0 || rolls)) cost += prices[Math.min(steps, prices.length) - 1]!;
    }
  }

  if (notes.length < 3) return cost;
  const prices = spanPrices[`${top.finger}${bottom.finger}`] ?? [];
  if (span <= prices.length) cost += prices[span - 1]!;
  else if (rolled && span <= prices.length + 2) cost += prices.at(-1)!;

  const under = notes.find((note) => note.finger === 2);
  if (top.finger === 1 && under?.string === top.string - 1 && span >= 8) cost += 1000;
  return cost;
}

function crossCost({ line, real, felt }: Setting, from: BarePlacing, to: BarePlacing): number {
  const [a, b] = [from.last, to.first];
  const steps = line.events[b]!.strings[0]! - line.events[a]!.strings[0]!;
  const rising = steps > 0;
  const passing = rising ? to.fingers[0]![0] : from.fingers.at(-1)![0];
  let cost = passing === 2 ? 1100 : passing === 3 ? 1000 : 1200;
  cost += 1500 * (Math.abs(steps) - 1) + holding(felt[a]!);
  // A lone top note pays at a crossing up to it and at a crossing down from it, as its mirror image does.
  const peak = rising ? to : from;
  const turns = rising ? way(line, b, b + 1) < 0 : way(line, a - 1, a) > 0;
  if (peak.first === peak.last && turns) cost += 800;
  if (real[a]! < 0.08 * second) cost += impossible;
  return cost;
}

function separateCost({ line, real, felt }: Setting, from: BarePlacing, to: BarePlacing): number {
  const [a, b] = [from.last, to.first];
  const [before, after] = [line.events[a]!.strings, line.events[b]!.strings];
  const distance = Math.min(...before.map((x) => Math.min(...after.map((y) => Math.abs(x - y)))));
  let cost = 300 + share(2000, 1.2 * second - felt[a]!, 0.9 * second) + 50 * Math.max(0, distance - 4);

  const [end, start] = [from.fingers.at(-1)!, to.fingers[0]!];
  const again = before.filter((string) => after.includes(string));
  const chords = before.length > 1 && after.length > 1;
  const sameFinger = again.some(
    (string) => chords || end[before.indexOf(string)] === start[after.indexOf(string)],
  );
  if (sameFinger) cost += 200 + share(1300, 0.4 * second - felt[a]!, 0.15 * second);
  else if (again.length > 0) cost += 500;

  const single = before.length === 1 && after.length === 1;
  let needed = before.length > 1 && after.length > 1 ? 0.22 : 0.2;
  if (distance > 7) needed = 0.35;
  if (single && again.length > 0) needed = sameFinger ? 0.2 : 0.08;
  if (real[a]! < needed * second) cost += impossible;
  return cost;
}
