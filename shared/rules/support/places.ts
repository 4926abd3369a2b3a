import { mainFingering, type WrittenHand } from "../../fingering/written.ts";
import type { EventNote } from "../../score/handLines.ts";
import type { Note } from "../../score/model.ts";
import { intervalName, pitchName } from "../../score/pitch.ts";
import type { Span } from "../../text/span.ts";

/** Where a finding about a note points: at its finger, or at the note's start tag when it has none. */
export function placeOfNote(entry: EventNote): Span {
  return mainFingering(entry)?.span ?? startTagOf(entry.note);
}

/** Where a finding about a note that should have a finger, or about the music itself, points. */
export function startTagOf(note: Note): Span {
  return note.site.startTag;
}

/** `G4`, `Bb3`: the note as written. */
export function nameOf(entry: EventNote): string {
  return pitchName(entry.note.pitch);
}

/** `C4`, `C4 and E4`, `C4, E4 and G4`. */
export function namesOf(entries: readonly EventNote[]): string {
  return inWords(entries.map(nameOf));
}

/** `a`, `a and b`, `a, b and c`. */
export function inWords(items: readonly string[]): string {
  if (items.length <= 1) return items.join("");
  return `${items.slice(0, -1).join(", ")} and ${items[items.length - 1]}`;
}

/** The names of an event's notes, lowest first, a chord's joined: `C4`, `C4-E4-G4`. */
export function eventName(hand: WrittenHand, event: number): string {
  return hand.line.events[event]!.notes.map(nameOf).join("-");
}

/** `a tenth`, `an octave`, `a span of 13 strings`. */
export function intervalWords(steps: number): string {
  const name = intervalName(steps);
  return `${/^[aeio]/.test(name) ? "an" : "a"} ${name}`;
}

const numbers = ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"];

/** Small numbers as words. */
export function numberWord(count: number): string {
  return numbers[count] ?? String(count);
}

/** The words with a capital at their beginning. */
export function capitalised(words: string): string {
  return words.charAt(0).toUpperCase() + words.slice(1);
}
