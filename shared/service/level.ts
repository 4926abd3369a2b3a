import type { Finger, HandName, Placing, Solution } from "../fingering/model.ts";
import type { WrittenHand } from "../fingering/written.ts";
import type { HandLine } from "../score/handLines.ts";
import { stringName } from "../score/pitch.ts";
import { format } from "../score/rational.ts";
import { defaultTempo } from "../score/timeline.ts";
import type { Analysis } from "./analyse.ts";
import { labelOf } from "./levelLabel.ts";
import { placeOf } from "./places.ts";
import { proposal } from "./proposal.ts";

/**
 * What teachers weigh when they say how hard a piece is for the hands: facts, and no grade. They are those of the
 * fingering as printed, completed where nothing is printed. What is repeated counts once, as printed.
 */
export interface LevelFacts {
  readonly notes: number;
  /** How many of the notes have a printed finger; the others are reckoned with the one that is proposed. */
  readonly printedFingers: number;
  readonly bars: number;
  /** In quarter notes a minute; both are the assumed one when the score states none. */
  readonly tempo: { readonly slowest: number; readonly fastest: number; readonly stated: boolean };
  readonly hands: readonly HandFacts[];
  readonly register: Register;
  /** Of a lever harp whose tuning the settings tell; undefined on another. Repeats count as often as they are played. */
  readonly levers: LeverFacts | undefined;
  /** How often both hands need the eyes at once. */
  readonly bothHandsLook: number;
  /** Bars in which both hands play, and those of them in which each has an onset that the other has not. */
  readonly rhythm: { readonly bars: number; readonly independentBars: number };
  /** The name of the first level of the settings whose limits all hold; undefined when there is none. */
  readonly label: string | undefined;
}

/** What the levers ask for. */
export interface LeverFacts {
  /** How often one is moved during the piece. */
  readonly changes: number;
  /** The least time between two notes of a string whose lever is moved between them; undefined when none is. */
  readonly shortest: { readonly milliseconds: number; readonly bar: string } | undefined;
  /** How many of the changes the left hand has no time for. */
  readonly withoutTime: number;
}

/** The facts of one hand. */
export interface HandFacts {
  readonly hand: HandName;
  /** In use, the thumb first. */
  readonly fingers: readonly Finger[];
  /** Of the chords that are struck, of those that are rolled, and of the placings that are played note by note. */
  readonly widest: Readonly<Record<WidthKind, Width | undefined>>;
  /** By what passes: `2 under 1` rising, `1 over 3` falling. */
  readonly crossings: Readonly<Record<string, number>>;
  /** How placings follow each other. */
  readonly joints: { readonly separate: number; readonly overlap: number; readonly cross: number };
  /** The share of joints at which the hand stays on the strings, from 0 to 1; undefined without any joint. */
  readonly connectedShare: number | undefined;
  /** The least time in which the hand comes off and is placed anew; undefined when it never does. */
  readonly shortestReplacing: { readonly milliseconds: number; readonly bar: string } | undefined;
  readonly register: Register;
  readonly harmonics: number;
}

/** The strings from the lowest to the highest that is played. */
export interface Register {
  /** By letter and octave; C4 is middle C. */
  readonly lowest: string;
  readonly highest: string;
  readonly strings: number;
}

export type WidthKind = "struck" | "rolled" | "inTurn";

/** A distance from string to string, in steps: 7 is an octave. */
export interface Width {
  readonly steps: number;
  readonly bar: string;
}

/** The facts of a score's fingering; undefined when it has no harp, or the harp plays nothing. */
export function levelFacts(analysis: Analysis): LevelFacts | undefined {
  const { score, harp, hands, settings } = analysis;
  if (!harp || hands.length === 0) return undefined;
  const solutions = hands.map((written) => proposal(analysis, written));
  const tempos = score.tempos.map(({ quartersPerMinute }) => quartersPerMinute);
  const assumed = settings.tempo ?? defaultTempo;
  const facts = {
    notes: sum(hands, ({ fingers }) => fingers.flat().length),
    printedFingers: sum(hands, ({ fingers }) => fingers.flat().filter((each) => each !== undefined).length),
    bars: harp.parts[0]!.measures.length,
    tempo: {
      slowest: tempos.length > 0 ? Math.min(...tempos) : assumed,
      fastest: tempos.length > 0 ? Math.max(...tempos) : assumed,
      stated: tempos.length > 0,
    },
    hands: hands.map((written, i) => handFacts(written, solutions[i]!)),
    register: registerOf(hands),
    levers: leverFacts(analysis),
    bothHandsLook: sum(solutions, ({ placings }) => placings.filter(isGlance).length),
    rhythm: rhythmOf(hands.map(({ line }) => line)),
  };
  return { ...facts, label: labelOf(facts, settings.levels ?? []) };
}

function sum<T>(items: readonly T[], count: (item: T) => number): number {
  return items.reduce((total, item) => total + count(item), 0);
}

/** What costs a glance is told once, at the later of the two placings. */
function isGlance({ jointTerms }: Placing): boolean {
  return jointTerms.some(({ name }) => name === "glance");
}

function handFacts(written: WrittenHand, solution: Solution): HandFacts {
  const { events } = written.line;
  const used = new Set(solution.fingers.flat());
  const joints = { separate: 0, overlap: 0, cross: 0 };
  for (const { joint } of solution.placings) if (joint !== "start") joints[joint] += 1;
  const connected = joints.overlap + joints.cross;
  return {
    hand: written.hand,
    fingers: ([1, 2, 3, 4] as const).filter((finger) => used.has(finger)),
    widest: {
      struck: widest(written, solution, "struck"),
      rolled: widest(written, solution, "rolled"),
      inTurn: widest(written, solution, "inTurn"),
    },
    crossings: crossingsOf(written, solution),
    joints,
    connectedShare: connected + joints.separate > 0 ? connected / (connected + joints.separate) : undefined,
    shortestReplacing: shortestReplacing(written, solution),
    register: registerOf([written]),
    harmonics: sum(events, ({ notes }) => notes.filter(({ note }) => note.marks.harmonic).length),
  };
}

function registerOf(hands: readonly WrittenHand[]): Register {
  let lowest = Number.POSITIVE_INFINITY;
  let highest = Number.NEGATIVE_INFINITY;
  for (const { notes } of hands.flatMap(({ line }) => line.events)) {
    lowest = Math.min(lowest, notes[0]!.string);
    highest = Math.max(highest, notes[notes.length - 1]!.string);
  }
  return { lowest: stringName(lowest), highest: stringName(highest), strings: highest - lowest + 1 };
}

function leverFacts({ levers }: Analysis): LeverFacts | undefined {
  if (!levers) return undefined;
  let shortest: LeverFacts["shortest"];
  for (const { need } of levers.changes) {
    const milliseconds = Math.round((need.next.atMicros - need.last.atMicros) / 1000);
    if (!shortest || milliseconds < shortest.milliseconds)
      shortest = { milliseconds, bar: need.next.entry.note.measure.number };
  }
  const withoutTime = levers.changes.filter(({ atMicros }) => atMicros === undefined).length;
  return { changes: levers.changes.length, shortest, withoutTime };
}

function widest(written: WrittenHand, { placings }: Solution, kind: WidthKind): Width | undefined {
  let found: Width | undefined;
  for (const { first, last } of placings) {
    const events = written.line.events.slice(first, last + 1);
    const own = first < last ? "inTurn" : events[0]!.rolled ? "rolled" : "struck";
    if (own !== kind) continue;
    const strings = events.flatMap(({ notes }) => notes.map(({ string }) => string));
    const steps = Math.max(...strings) - Math.min(...strings);
    if (steps > 0 && steps > (found?.steps ?? 0)) found = { steps, bar: placeOf(written, first).bar };
  }
  return found;
}

function crossingsOf({ line }: WrittenHand, { placings, fingers }: Solution): Record<string, number> {
  const counts: Record<string, number> = {};
  for (const { joint, first } of placings) {
    if (joint !== "cross") continue;
    const rises = line.events[first]!.notes[0]!.string > line.events[first - 1]!.notes[0]!.string;
    const kind = rises ? `${fingers[first]![0]} under 1` : `1 over ${fingers[first - 1]![0]}`;
    counts[kind] = (counts[kind] ?? 0) + 1;
  }
  return Object.fromEntries(Object.entries(counts).sort(([a], [b]) => (a < b ? -1 : 1)));
}

function shortestReplacing(written: WrittenHand, { placings }: Solution): HandFacts["shortestReplacing"] {
  const { events } = written.line;
  let found: HandFacts["shortestReplacing"];
  placings.forEach(({ joint, first }, i) => {
    const before = placings[i - 1];
    if (joint !== "separate" || !before) return;
    const milliseconds = Math.round((events[first]!.atMicros - events[before.last]!.atMicros) / 1000);
    if (!found || milliseconds < found.milliseconds)
      found = { milliseconds, bar: placeOf(written, first).bar };
  });
  return found;
}

function rhythmOf(lines: readonly HandLine[]): LevelFacts["rhythm"] {
  const [right, left] = lines.map(onsetsByBar);
  let bars = 0;
  let independentBars = 0;
  for (const [bar, own] of right ?? []) {
    const other = left?.get(bar);
    if (!other) continue;
    bars += 1;
    if ([...own].some((at) => !other.has(at)) && [...other].some((at) => !own.has(at))) independentBars += 1;
  }
  return { bars, independentBars };
}

function onsetsByBar({ events }: HandLine): Map<number, Set<string>> {
  const bars = new Map<number, Set<string>>();
  for (const { notes, onset } of events) {
    const { index } = notes[0]!.note.measure;
    const onsets = bars.get(index) ?? new Set();
    bars.set(index, onsets.add(format(onset)));
  }
  return bars;
}
