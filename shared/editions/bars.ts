import type { EventNote, LineEvent } from "../score/handLines.ts";
import type { HandName } from "../score/hands.ts";
import { pitchName } from "../score/pitch.ts";
import { format } from "../score/rational.ts";
import type { Edition } from "./model.ts";

/** A string that is plucked in a bar. */
export interface BarNote {
  readonly hand: HandName;
  readonly event: number;
  readonly stringAt: number;
  /** When, within its bar; alike for notes of one instant, and in no other way to be read. */
  readonly instant: string;
  readonly pitch: string;
  /** The fingers that are printed at it, in the order of the file; empty when there are none. */
  readonly print: string;
}

/** What stands in one bar, for comparing: nothing of ids, voices, divisions and numbers is in it. */
export interface EditionBar {
  readonly measure: number;
  /** As printed. */
  readonly number: string;
  /** Hand by hand, in order of time. */
  readonly notes: readonly BarNote[];
  /** What is plucked and when, whichever hand does it. */
  readonly music: string;
  /** Fingers, brackets and hands. */
  readonly print: string;
}

/** The bars of the harp's part. Time O(n log n) in notes. */
export function barsOf({ harp, hands }: Edition): EditionBar[] {
  const notes: BarNote[][] = (harp.parts[0]?.measures ?? []).map(() => []);
  const brackets: string[][] = notes.map(() => []);
  for (const { hand, line, brackets: printed } of hands) {
    line.events.forEach((event, i) => {
      event.notes.forEach((entry, stringAt) => {
        notes[entry.note.measure.index]?.push({
          hand,
          event: i,
          stringAt,
          instant: instantOf(event, entry),
          pitch: pitchName(entry.note.pitch),
          print: printAt(entry),
        });
      });
    });
    for (const { first, last } of printed.brackets) {
      const at = line.events[first]!.notes[0]!;
      brackets[at.note.measure.index]?.push(`${hand} ${instantOf(line.events[first]!, at)} ${last - first}`);
    }
  }
  return (harp.parts[0]?.measures ?? []).map(({ number }, measure) => {
    const own = notes[measure]!;
    return {
      measure,
      number,
      notes: own,
      music: sorted(own.map(({ instant, pitch }) => `${instant} ${pitch}`)),
      print: sorted([
        ...own.map(({ hand, instant, pitch, print }) => `${instant} ${pitch} ${hand} ${print}`),
        ...brackets[measure]!,
      ]),
    };
  });
}

function sorted(words: readonly string[]): string {
  return [...words].sort().join("|");
}

/** Grace notes before one beat are told apart by how many come after them. */
function instantOf({ grace }: LineEvent, { note }: EventNote): string {
  return `${format(note.position)}${grace ? ` grace ${note.grace?.untilMain ?? 0}` : ""}`;
}

/** `3`, `3-1` for a finger that takes over, `3 (2)` for another choice. Voices may come in another order. */
function printAt({ note, doubles }: EventNote): string {
  const prints = [note, ...doubles].map(({ fingerings }) =>
    fingerings.reduce((said, { text, substitution, alternate }) => {
      const finger = text.trim();
      if (said === "") return finger;
      return substitution ? `${said}-${finger}` : alternate ? `${said} (${finger})` : `${said} ${finger}`;
    }, ""),
  );
  return [...new Set(prints.filter((print) => print !== ""))].sort().join(" ");
}
