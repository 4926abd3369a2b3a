import { letterIndex } from "../harp/strings.ts";
import { indexOfLetter, letterOf, stringName } from "../score/pitch.ts";
import { firstWhere } from "../text/firstWhere.ts";
import type { LeverPlan } from "./mechanismOf.ts";
import type { PedalPlan } from "./pedalPlan.ts";
import type { PlayedMark } from "./playedMarks.ts";
import type { PlayedNote } from "./playedNotes.ts";

/** A pedal or a lever that has to be otherwise between two notes. */
export interface MechanismChange {
  /** C = 0 … B = 6. */
  readonly letter: number;
  /** Of a lever the string; undefined for a pedal. */
  readonly string: number | undefined;
  /** In semitones from the natural. */
  readonly from: number;
  readonly to: number;
  /** The last note that needs it as it was, and the first that needs it as it will be. */
  readonly last: PlayedNote | undefined;
  readonly next: PlayedNote;
  /** When it is made, where that is planned. */
  readonly atMicros: number | undefined;
}

/** A change, and what the print says of it. */
export interface MarkedChange extends MechanismChange {
  /** The last mark about it after the last note and not after the next. */
  readonly mark: PlayedMark | undefined;
  /** The mark sets what the note needs. */
  readonly isRight: boolean;
  /** A mark that says it, though too early: before the last note that needs it otherwise. */
  readonly early: PlayedMark | undefined;
  /** The first mark that says it after the note, before it changes again. */
  readonly late: PlayedMark | undefined;
}

/** Every change of the levers or pedals in the order of the notes that need them. */
export function mechanismChanges(plan: {
  readonly levers?: LeverPlan;
  readonly pedals?: PedalPlan;
}): MechanismChange[] {
  const { levers, pedals } = plan;
  if (levers) {
    return levers.changes.map(({ need, atMicros }) => ({
      ...need,
      letter: letterIndex(need.string),
      atMicros,
    }));
  }
  return (pedals?.changes ?? []).map((change) => ({ ...change, string: undefined, atMicros: undefined }));
}

/** Compares the changes with what is written about them. Both in the order of playing. */
export function markedChanges(
  changes: readonly MechanismChange[],
  marks: readonly PlayedMark[],
): MarkedChange[] {
  const about = new Map<string, Said[]>();
  const saidOf = (change: MechanismChange): readonly Said[] => {
    const key = keyOf(change);
    const known = about.get(key) ?? marks.flatMap((mark) => said(mark, change) ?? []);
    about.set(key, known);
    return known;
  };
  const following = new Map<string, number>();
  const until = new Array<number>(changes.length);
  for (let i = changes.length - 1; i >= 0; i -= 1) {
    const key = keyOf(changes[i]!);
    until[i] = following.get(key) ?? Number.POSITIVE_INFINITY;
    following.set(key, changes[i]!.next.atMicros);
  }
  const since = new Map<string, number>();
  return changes.map((change, i) => {
    const { last, next, to } = change;
    const all = saidOf(change);
    const after = (micros: number): number => firstWhere(all.length, (k) => all[k]!.played.atMicros > micros);
    const from = last?.atMicros ?? Number.NEGATIVE_INFINITY;
    const end = after(next.atMicros);
    // A mark at the last note is the one for that note.
    const begin = after(from);
    const between = all[end - 1];
    const mark = end > begin ? between : undefined;
    const sinceChange = firstWhere(
      all.length,
      (k) => all[k]!.played.atMicros >= (since.get(keyOf(change)) ?? Number.NEGATIVE_INFINITY),
    );
    since.set(keyOf(change), next.atMicros);
    const early = all.slice(sinceChange, begin).find(({ alter }) => alter === to);
    const late = all.slice(end).find(({ played, alter }) => played.atMicros < until[i]! && alter === to);
    return {
      ...change,
      mark: mark?.played,
      isRight: mark?.alter === to,
      early: early?.played,
      late: late?.played,
    };
  });
}

interface Said {
  readonly played: PlayedMark;
  readonly alter: number;
}

/** What a mark says about the pedal or lever of a change; a single string goes before all of its letter. */
function said(played: PlayedMark, { letter, string }: MechanismChange): Said | undefined {
  const own = played.mark.settings.filter((setting) => indexOfLetter(setting.letter) === letter);
  const exact = own.find((setting) => string !== undefined && setting.string === string);
  const found = exact ?? own.find((setting) => setting.string === undefined || string === undefined);
  return found && { played, alter: found.alter };
}

function keyOf({ letter, string }: MechanismChange): string {
  return `${letter} ${string}`;
}

/** Changes as they stand in print: what comes back in a repeat is one, and is missing when it is in any playing. */
export function inPrint(changes: readonly MarkedChange[]): MarkedChange[] {
  const found = new Map<string, MarkedChange>();
  for (const change of changes) {
    const { string, letter, to, next } = change;
    const key = `${letter} ${string} ${to} ${next.hand} ${next.event}`;
    const known = found.get(key);
    if (!known || (known.isRight && !change.isRight)) found.set(key, change);
  }
  return [...found.values()];
}

/** `F`, a pedal; `F4`, a lever's string, in scientific octaves. */
export function nameOfChange({ letter, string }: Pick<MechanismChange, "letter" | "string">): string {
  return string === undefined ? letterOf(letter) : stringName(string);
}
