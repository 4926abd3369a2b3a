import { handFreeBefore } from "./freeHand.ts";
import { type HandName, type HarpChoice, handOfNote } from "./hands.ts";
import { type LineJump, lineJumps } from "./lineJumps.ts";
import type { Note, Part, Score } from "./model.ts";
import { type PlayedOrder, playedOrder } from "./playedOrder.ts";
import { add, compare, type Rational } from "./rational.ts";
import { Timeline } from "./timeline.ts";

/** A string plucked in an event, and the note or notes that ask for it. */
export interface EventNote {
  readonly string: number;
  readonly note: Note;
  /** Notes of other voices on the same string at the same instant. */
  readonly doubles: readonly Note[];
}

/** What one hand plucks at one instant. */
export interface LineEvent {
  /** Lowest first. */
  readonly notes: readonly EventNote[];
  readonly part: Part;
  /** From the start of the piece, in quarter notes. A grace note has the onset of its main note. */
  readonly onset: Rational;
  readonly grace: boolean;
  /** When it sounds. */
  readonly atMicros: number;
  readonly rolled: boolean;
  readonly held: boolean;
  /** The music jumps to or from the barline before it. */
  readonly cutBefore: boolean;
  /** The hand is free of the strings before it, as it muffles or as this note or the one before stands alone. */
  readonly handFreeBefore: boolean;
}

/** The notes that one hand plucks, in order. */
export interface HandLine {
  readonly hand: HandName;
  readonly events: readonly LineEvent[];
  /** Repeats, endings and other jumps: what follows what in some playing of it. */
  readonly jumps: readonly LineJump[];
  /** Where a note went; tie continuations, cue and unprinted notes are not in it. */
  readonly places: ReadonlyMap<Note, { readonly event: number; readonly stringAt: number }>;
}

/** A grace note's length when nothing says another: an estimate, from memory. */
const graceMicros = 90_000;

/** True when the note is plucked: a tie's continuation, a cue and an unprinted note are not. */
export function isPlucked(note: Note): boolean {
  return !note.continues && !note.cue && note.printed;
}

/** The lines of both hands, right hand first; a hand that plays nothing has no line. */
export function handLines(score: Score, harp: HarpChoice, timeline = new Timeline(score)): HandLine[] {
  const lines: HandLine[] = [];
  const order = playedOrder(score);
  for (const hand of ["right", "left"] as const) {
    const plucked: Plucked[] = [];
    for (const part of harp.parts) {
      for (const note of part.notes) {
        if (!isPlucked(note) || handOfNote(harp, part, note) !== hand) continue;
        plucked.push({ note, part, onset: add(score.measureStarts[note.measure.index]!, note.position) });
      }
    }
    if (plucked.length > 0) lines.push(handLine(score, harp, order, hand, plucked, timeline));
  }
  return lines;
}

/** An event of which some things are found out later. All are of one shape, which code that reads them relies on. */
type EventInProgress = { -readonly [K in keyof LineEvent]: LineEvent[K] };

interface Plucked {
  readonly note: Note;
  readonly part: Part;
  readonly onset: Rational;
}

function handLine(
  score: Score,
  harp: HarpChoice,
  order: PlayedOrder,
  hand: HandName,
  plucked: Plucked[],
  timeline: Timeline,
): HandLine {
  plucked.sort((a, b) => inTime(a, b) || a.note.string - b.note.string || a.note.index - b.note.index);
  const groups: Plucked[][] = [];
  for (const entry of plucked) {
    const group = groups[groups.length - 1];
    if (group && inTime(group[0]!, entry) === 0) group.push(entry);
    else groups.push([entry]);
  }
  const times = eventTimes(groups, timeline);
  const events: EventInProgress[] = [];
  for (const [i, group] of groups.entries()) events.push(lineEvent(group, times[i]!));
  const { jumps, cuts } = lineJumps(score, order, events, timeline);
  for (const i of cuts) events[i]!.cutBefore = true;
  for (const i of handFreeBefore(score, harp, hand, events)) events[i]!.handFreeBefore = true;
  const places = new Map<Note, { event: number; stringAt: number }>();
  events.forEach((event, i) => {
    event.notes.forEach((entry, j) => {
      for (const note of [entry.note, ...entry.doubles]) places.set(note, { event: i, stringAt: j });
    });
  });
  return { hand, events, jumps, places };
}

/** Order of sounding: grace notes before the note that they lead to, the last of them nearest. */
function inTime(a: Plucked, b: Plucked): number {
  return compare(a.onset, b.onset) || (b.note.grace?.untilMain ?? 0) - (a.note.grace?.untilMain ?? 0);
}

/** @param group in order of their strings. */
function lineEvent(group: readonly Plucked[], atMicros: number): EventInProgress {
  const notes: (EventNote & { readonly doubles: Note[] })[] = [];
  for (const { note } of group) {
    const below = notes[notes.length - 1];
    if (below?.string === note.string) below.doubles.push(note);
    else notes.push({ string: note.string, note, doubles: [] });
  }
  const [first] = group;
  return {
    notes,
    part: first!.part,
    onset: first!.onset,
    grace: first!.note.grace !== undefined,
    atMicros,
    rolled: notes.length > 1 && group.some(({ note }) => note.marks.arpeggio !== undefined),
    held: group.some(({ note }) => note.marks.fermata === true),
    cutBefore: false,
    handFreeBefore: false,
  };
}

/**
 * When each event sounds. Grace notes take their time from the note before them, or from the note that they lead to
 * when they say so; less each when there is not enough.
 */
function eventTimes(groups: readonly (readonly Plucked[])[], timeline: Timeline): number[] {
  const times = groups.map((group) => timeline.micros(group[0]!.onset));
  const sameOnset = (a: number, b: number): boolean =>
    compare(groups[a]![0]!.onset, groups[b]![0]!.onset) === 0;
  const graceOf = (i: number): Note["grace"] => groups[i]?.[0]?.note.grace;
  for (let i = 0; i < groups.length; i += 1) {
    if (!graceOf(i)) continue;
    let main = i;
    while (graceOf(main) && sameOnset(main, i)) main += 1;
    const beat = times[i]!;
    // Those that take from the note that follows are the last ones: they begin on the beat.
    let onBeat = main;
    while (onBeat > i && graceOf(onBeat - 1)!.stealsFollowing) onBeat -= 1;
    const before = onBeat - i;
    const available = i > 0 ? beat - times[i - 1]! : Number.POSITIVE_INFINITY;
    const each = Math.min(graceMicros, Math.floor(available / (before + 1)));
    for (let k = i; k < onBeat; k += 1) times[k] = beat - (onBeat - k) * each;
    const after = main - onBeat;
    if (after > 0) {
      const hasMain = main < groups.length && sameOnset(main, i);
      const next = times[hasMain ? main + 1 : main] ?? Number.POSITIVE_INFINITY;
      const eachAfter = Math.min(graceMicros, Math.floor((next - beat) / (after + 1)));
      for (let k = onBeat; k < main; k += 1) times[k] = beat + (k - onBeat) * eachAfter;
      if (hasMain) times[main] = beat + after * eachAfter;
    }
    i = main - 1;
  }
  return times;
}
