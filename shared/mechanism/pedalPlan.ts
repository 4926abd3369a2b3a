import { letterIndex } from "../harp/strings.ts";
import { alterationsOf, type Stringing, type StringPitch, stringsSounding } from "../harp/tunings.ts";
import type { PlayedNote } from "./playedNotes.ts";

/** How the seven pedals stand, in the order C D E F G A B: −1 flat, 0 natural, 1 sharp. */
export type PedalSetting = readonly number[];

/** One pedal moves. */
export interface PedalChange {
  /** C = 0 … B = 6. */
  readonly letter: number;
  readonly from: number;
  readonly to: number;
  /** The last note that needs the pedal as it was; undefined when none does. */
  readonly last: PlayedNote | undefined;
  /** The first note that needs it as it will be. */
  readonly next: PlayedNote;
}

/** What a piece asks of the pedals. */
export interface PedalPlan {
  readonly start: PedalSetting;
  /** In the order of the notes that need them. */
  readonly changes: readonly PedalChange[];
  /** Instants whose notes cannot be had together, with any strings that may be used. */
  readonly impossible: readonly (readonly PlayedNote[])[];
}

export interface PedalOptions {
  /** Notes may be played on a neighbour that sounds the same, where that saves moves; else on their own strings. */
  readonly respell?: boolean;
  /** How the pedals stand before the first note; as is best without it. */
  readonly start?: PedalSetting;
  /** How those pedals stand that no note asks for; natural without it. */
  readonly idle?: PedalSetting;
}

/**
 * The fewest pedal moves with which a piece can be played. All strings of a letter move together, so that an instant
 * asks for one position each of some pedals; where a note may be played on a neighbour, one of several.
 *
 * @param notes in the order in which they are played.
 * @returns exact: the least number of moves over all ways to choose the strings. An instant that no setting can play
 *          asks for nothing and is named.
 * Time O(notes × 3⁷), memory the same; without `respell` O(notes).
 * Source: shortest path over the settings, each pedal's move by itself; Bellman, "The theory of dynamic programming", 1954.
 */
export function planPedals(
  stringing: Stringing,
  notes: readonly PlayedNote[],
  { respell = false, start, idle }: PedalOptions = {},
): PedalPlan {
  const instants = instantsOf(notes);
  const impossible: (readonly PlayedNote[])[] = [];
  const wanted: (readonly Wanted[])[] = [];
  for (const together of instants) {
    const ways = waysToPlay(stringing, together, respell);
    if (ways.length === 0) impossible.push(together);
    else wanted.push(ways);
  }
  const isForced = wanted.every((ways) => ways.length === 1);
  const chosen = isForced ? wanted.map((ways) => ways[0]!) : fewestMoves(wanted, start);
  return { ...movesOf(chosen, start, idle), impossible };
}

/** For some pedals the position that they must have, and the note that asks for it. */
type Wanted = ReadonlyMap<number, { readonly alter: number; readonly note: PlayedNote }>;

function instantsOf(notes: readonly PlayedNote[]): PlayedNote[][] {
  const instants: PlayedNote[][] = [];
  for (const note of notes) {
    const last = instants[instants.length - 1];
    if (last && last[0]!.atMicros === note.atMicros) last.push(note);
    else instants.push([note]);
  }
  return instants;
}

/** Every consistent choice of pedal positions for notes that sound together, their own strings first. */
function waysToPlay(stringing: Stringing, notes: readonly PlayedNote[], respell: boolean): Wanted[] {
  let ways: Map<number, { alter: number; note: PlayedNote }>[] = [new Map()];
  for (const note of notes) {
    const strings = stringsFor(stringing, note, respell);
    ways = ways.flatMap((way) =>
      strings.flatMap(({ string, alter }) => {
        if (alterationsOf(stringing, string).length === 1) return [way];
        const letter = letterIndex(string);
        const known = way.get(letter);
        if (known) return known.alter === alter ? [way] : [];
        return [new Map(way).set(letter, { alter, note })];
      }),
    );
  }
  return ways;
}

function stringsFor(stringing: Stringing, { entry }: PlayedNote, respell: boolean): StringPitch[] {
  const written = { string: entry.string, alter: Math.round(entry.note.pitch.alter) };
  const sounding = stringsSounding(stringing, written);
  const own = sounding.filter(({ string }) => string === written.string);
  return respell || own.length === 0 ? sounding : own;
}

const letterCount = 7;
const settingCount = 3 ** letterCount;
/** powers[letter]: how far apart two settings are whose pedal of that letter differs by one position. */
const powers = Array.from({ length: letterCount }, (_, letter) => 3 ** letter);

function positionIn(setting: number, letter: number): number {
  return (Math.floor(setting / powers[letter]!) % 3) - 1;
}

/** The choice for each instant with which the pedals move least often. */
function fewestMoves(wanted: readonly (readonly Wanted[])[], start: PedalSetting | undefined): Wanted[] {
  const layers: Int32Array[] = [];
  let cost = new Int32Array(settingCount);
  if (start) cost = Int32Array.from(cost, (_, setting) => movesBetween(setting, start));
  for (const ways of wanted) {
    cost = layers.length === 0 ? cost.slice() : spread(cost);
    for (let setting = 0; setting < settingCount; setting += 1) {
      if (!ways.some((way) => allows(way, setting))) cost[setting] = unreachable;
    }
    layers.push(cost);
  }
  const chosen: Wanted[] = [];
  let setting = leastOf(layers[layers.length - 1]!, () => 0);
  for (let i = layers.length - 1; i >= 0; i -= 1) {
    const here = setting;
    if (i < layers.length - 1) setting = leastOf(layers[i]!, (from) => distance(from, here));
    const now = setting;
    chosen[i] = wanted[i]!.find((way) => allows(way, now))!;
  }
  return chosen;
}

const unreachable = 1 << 29;

/** The cost of each setting after any moves: pedal by pedal, as each move counts by itself. */
function spread(before: Int32Array): Int32Array<ArrayBuffer> {
  const cost = Int32Array.from(before);
  for (const step of powers) {
    for (let setting = 0; setting < settingCount; setting += 1) {
      if (Math.floor(setting / step) % 3 !== 0) continue;
      const [a, b, c] = [cost[setting]!, cost[setting + step]!, cost[setting + 2 * step]!];
      const moved = Math.min(a, b, c) + 1;
      cost[setting] = Math.min(a, moved);
      cost[setting + step] = Math.min(b, moved);
      cost[setting + 2 * step] = Math.min(c, moved);
    }
  }
  return cost;
}

function allows(way: Wanted, setting: number): boolean {
  for (const [letter, { alter }] of way) if (positionIn(setting, letter) !== alter) return false;
  return true;
}

function leastOf(cost: Int32Array, more: (setting: number) => number): number {
  let best = 0;
  let least = Number.POSITIVE_INFINITY;
  for (let setting = 0; setting < settingCount; setting += 1) {
    if (cost[setting]! >= least) continue;
    const whole = cost[setting]! + more(setting);
    if (whole >= least) continue;
    least = whole;
    best = setting;
  }
  return best;
}

function distance(a: number, b: number): number {
  let moves = 0;
  for (let letter = 0; letter < letterCount; letter += 1) {
    if (positionIn(a, letter) !== positionIn(b, letter)) moves += 1;
  }
  return moves;
}

function movesBetween(setting: number, start: PedalSetting): number {
  return start.filter((alter, letter) => positionIn(setting, letter) !== alter).length;
}

/** The moves that follow from what each instant asks for; a pedal that nothing asks for stays. */
function movesOf(
  chosen: readonly Wanted[],
  given: PedalSetting | undefined,
  idle: PedalSetting | undefined,
): Pick<PedalPlan, "start" | "changes"> {
  const start: (number | undefined)[] = given ? [...given] : new Array(letterCount).fill(undefined);
  const now: { alter: number; note: PlayedNote | undefined }[] = [];
  given?.forEach((alter, letter) => {
    now[letter] = { alter, note: undefined };
  });
  const changes: PedalChange[] = [];
  for (const way of chosen) {
    for (const [letter, { alter, note }] of [...way].sort(([a], [b]) => a - b)) {
      const before = now[letter];
      if (!before) start[letter] = alter;
      else if (before.alter !== alter) {
        changes.push({ letter, from: before.alter, to: alter, last: before.note, next: note });
      }
      now[letter] = { alter, note };
    }
  }
  return { start: start.map((alter, letter) => alter ?? idle?.[letter] ?? 0), changes };
}
