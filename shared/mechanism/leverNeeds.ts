import { alterationsOf, type Stringing, type StringPitch, stringsSounding } from "../harp/tunings.ts";
import type { PlayedNote } from "./playedNotes.ts";

/** A lever that has to be moved between two notes of its string. */
export interface LeverNeed {
  readonly string: number;
  /** How the string sounds before and after, in semitones from its natural. */
  readonly from: number;
  readonly to: number;
  /** The last note before, which needs the lever as it was. */
  readonly last: PlayedNote;
  /** The first note after. */
  readonly next: PlayedNote;
}

/** What a piece asks of the levers of a harp. */
export interface LeverNeeds {
  /** How each string that is plucked has to be set at the start: string and alteration. */
  readonly start: ReadonlyMap<number, number>;
  /** In the order of the notes that need them. */
  readonly changes: readonly LeverNeed[];
  /** Notes that no string of the harp can sound. */
  readonly unplayable: readonly PlayedNote[];
}

/**
 * What the levers have to do, through all repeats. A note is played on the string that it is written on, where that can
 * sound it, else on a neighbour that sounds the same. At the start each lever is as its string is first needed.
 * Common practice, no source.
 */
export function leverNeeds(stringing: Stringing, notes: readonly PlayedNote[]): LeverNeeds {
  const start = new Map<number, number>();
  const now = new Map<number, { readonly alter: number; readonly note: PlayedNote }>();
  const changes: LeverNeed[] = [];
  const unplayable: PlayedNote[] = [];
  const known = new Map<string, StringPitch | undefined>();
  for (const note of notes) {
    const { string, note: written } = note.entry;
    const alter = Math.round(written.pitch.alter);
    const key = `${string} ${alter}`;
    if (!known.has(key)) known.set(key, stringsSounding(stringing, { string, alter })[0]);
    const played = known.get(key);
    if (!played) {
      unplayable.push(note);
      continue;
    }
    const before = now.get(played.string);
    if (!before) start.set(played.string, played.alter);
    else if (before.alter !== played.alter) {
      changes.push({
        string: played.string,
        from: before.alter,
        to: played.alter,
        last: before.note,
        next: note,
      });
    }
    now.set(played.string, { alter: played.alter, note });
  }
  return { start, changes, unplayable };
}

/** True when the string sounds this with its lever up. */
export function isLeverUp(stringing: Stringing, string: number, alter: number): boolean {
  return alterationsOf(stringing, string).indexOf(alter) === 1;
}
