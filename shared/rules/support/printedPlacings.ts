import type { Finger } from "../../fingering/model.ts";
import { isOnePlacing, type WrittenHand } from "../../fingering/written.ts";
import type { EventNote, LineEvent } from "../../score/handLines.ts";
import { Ranges } from "../../text/ranges.ts";
import type { RuleInput } from "../define.ts";
import { type BracketPlacing, printedBrackets } from "./printedBrackets.ts";

/** A note of a placing. */
export interface PlacedNote {
  readonly event: number;
  /** Index among the event's notes. */
  readonly stringAt: number;
  readonly entry: EventNote;
  /** As printed, if it is 1 to 4. */
  readonly finger: Finger | undefined;
}

/** Two to four notes that the print puts under one hand: those of a bracket that goes one way, or a chord. */
export interface PrintedPlacing {
  /** Inclusive range of events. */
  readonly first: number;
  readonly last: number;
  /** Lowest string first. */
  readonly notes: readonly PlacedNote[];
  /** The bracket over it, or undefined for a chord by itself. */
  readonly bracket: BracketPlacing | undefined;
  /** A single chord that is rolled. */
  readonly rolled: boolean;
}

interface Known {
  readonly placings: readonly PrintedPlacing[];
  readonly byEvent: Ranges<PrintedPlacing>;
}

const known = new WeakMap<WrittenHand, Known>();

/** The placings that a hand has in print, in order. A chord under a bracket that is no placing counts by itself. */
export function printedPlacings(input: RuleInput, hand: WrittenHand): readonly PrintedPlacing[] {
  return knownOf(input, hand).placings;
}

/** Those that hold one of these events, in order. */
export function placingsTouching(
  input: RuleInput,
  hand: WrittenHand,
  first: number,
  last: number,
): readonly PrintedPlacing[] {
  return knownOf(input, hand).byEvent.touching(first, last);
}

function knownOf(input: RuleInput, hand: WrittenHand): Known {
  let found = known.get(hand);
  if (!found) {
    const placings = findPlacings(input, hand);
    found = { placings, byEvent: new Ranges(placings) };
    known.set(hand, found);
  }
  return found;
}

function findPlacings(input: RuleInput, hand: WrittenHand): PrintedPlacing[] {
  const found: PrintedPlacing[] = [];
  const covered = new Set<number>();
  for (const bracket of printedBrackets(input, hand)) {
    if (!isOnePlacing(hand.line, bracket)) continue;
    const notes = notesOf(hand, bracket.first, bracket.last);
    if (notes.length < 2) continue;
    for (let event = bracket.first; event <= bracket.last; event += 1) covered.add(event);
    found.push(placing(hand, bracket.first, bracket.last, notes, bracket));
  }
  hand.line.events.forEach((event, i) => {
    if (event.notes.length < 2 || event.notes.length > 4 || covered.has(i)) return;
    found.push(placing(hand, i, i, notesOf(hand, i, i), undefined));
  });
  return found.sort((a, b) => a.first - b.first || a.last - b.last);
}

function placing(
  hand: WrittenHand,
  first: number,
  last: number,
  notes: PlacedNote[],
  bracket: BracketPlacing | undefined,
): PrintedPlacing {
  const rolled = first === last && hand.line.events[first]!.rolled;
  return { first, last, notes, bracket, rolled };
}

/** The notes of a range of events, lowest string first. */
export function notesOf(hand: WrittenHand, first: number, last: number): PlacedNote[] {
  const notes: PlacedNote[] = [];
  for (let event = first; event <= last; event += 1) {
    const entries = hand.line.events[event]!.notes;
    for (let stringAt = 0; stringAt < entries.length; stringAt += 1) {
      notes.push({ event, stringAt, entry: entries[stringAt]!, finger: hand.fingers[event]![stringAt] });
    }
  }
  // Those of one event are in order.
  return first < last ? notes.sort((a, b) => a.entry.string - b.entry.string) : notes;
}

/** True when the printed fingers run down as the strings run up, none twice. Notes without a finger do not count. */
export function inOrder(notes: readonly PlacedNote[]): boolean {
  let before: Finger | undefined;
  for (const { finger } of notes) {
    if (finger === undefined) continue;
    if (before !== undefined && finger >= before) return false;
    before = finger;
  }
  return true;
}

/** True when a note of these is played in a way that ordinary fingers do not tell about. */
export function hasSpecialSound(notes: readonly PlacedNote[]): boolean {
  for (const { entry } of notes) if (isSpecial(entry)) return true;
  return false;
}

/** The same for the notes of an event. */
export function soundsSpecial({ notes }: LineEvent): boolean {
  for (const entry of notes) if (isSpecial(entry)) return true;
  return false;
}

function isSpecial({ note }: EventNote): boolean {
  const { harmonic, tremolo, trill, slideStart, slideStop } = note.marks;
  return Boolean(harmonic || tremolo || trill || slideStart || slideStop);
}

/** True when every placing that has one of these notes is in order once they have these fingers. */
export function staysInOrder(
  input: RuleInput,
  hand: WrittenHand,
  changed: readonly PlacedNote[],
  fingers: readonly Finger[],
): boolean {
  const finger = new Map(changed.map((note, i) => [note.entry, fingers[i]!]));
  const events = changed.map(({ event }) => event);
  return placingsTouching(input, hand, Math.min(...events), Math.max(...events))
    .filter(({ notes }) => notes.some(({ entry }) => finger.has(entry)))
    .every(({ notes }) =>
      inOrder(notes.map((note) => ({ ...note, finger: finger.get(note.entry) ?? note.finger }))),
    );
}
