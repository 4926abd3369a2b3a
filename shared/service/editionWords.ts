import { newPlaceOf, oldBarOf } from "../editions/compareEditions.ts";
import type {
  EditionBracket,
  EditionChange,
  EditionComparison,
  EditionPlace,
  NotePrint,
} from "../editions/model.ts";
import { counted } from "./words.ts";

/** A change in words: where it is, and what it is. */
export interface ToldChange {
  readonly change: EditionChange;
  /** `bar 12, left hand, beat 3`. */
  readonly where: string;
  /** `3 2 1 instead of 4 2 1`. */
  readonly what: string;
}

/** The changes of a new edition as a proofreader would tell them. */
export function toldChanges({ changes }: EditionComparison): ToldChange[] {
  return changes.map((change) => ({ change, where: whereWords(change), what: whatWords(change) }));
}

/** Changes of fingering, brackets and hands; what is not one of them is a change of the notes. */
export function isFingeringChange({ kind }: EditionChange): boolean {
  return kind === "fingers" || kind === "bracket" || kind === "hand";
}

/** Bars that have another number, in runs: `bars 12 to 40 are 14 to 42 now`. */
export function renumberedWords({ renumbered }: EditionComparison): string[] {
  const runs: { old: string[]; new: string[] }[] = [];
  for (const bar of renumbered) {
    const run = runs[runs.length - 1];
    const follows =
      run && shift(bar) === shift({ old: run.old[run.old.length - 1]!, new: run.new[run.new.length - 1]! });
    if (run && follows) {
      run.old.push(bar.old);
      run.new.push(bar.new);
    } else runs.push({ old: [bar.old], new: [bar.new] });
  }
  return runs.map(
    ({ old, new: now }) => `${barsWords(old)} ${old.length > 1 ? "are" : "is"} ${range(now)} now`,
  );
}

/** Not a number where bars are not counted: such bars follow nothing. */
function shift({ old, new: now }: { readonly old: string; readonly new: string }): number {
  return Number(now) - Number(old);
}

function barsWords(bars: readonly string[]): string {
  return `${bars.length > 1 ? "bars" : "bar"} ${range(bars)}`;
}

function range(bars: readonly string[]): string {
  return bars.length > 1 ? `${bars[0]} to ${bars[bars.length - 1]}` : `${bars[0]}`;
}

/** As it is in the new edition; with the old bar's number where that is another. */
function whereWords(change: EditionChange): string {
  if (change.kind === "bars") return barsWords(change.bars);
  const { bar, hand, beat } = newPlaceOf(change);
  const old = oldBarOf(change);
  return `bar ${bar}${old && old.bar !== bar ? ` (${old.bar} before)` : ""}, ${hand} hand, beat ${beat}`;
}

function whatWords(change: EditionChange): string {
  switch (change.kind) {
    case "fingers":
      return fingersWords(change.notes);
    case "bracket":
      return bracketWords(change.old, change.new);
    case "hand":
      return `${joined(change.pitches)} ${change.pitches.length > 1 ? "are" : "is"} for the ${change.new.hand} hand instead of the ${change.old.hand}`;
    case "notes":
      return notesWords(change.removed, change.added);
    case "bars": {
      const what = `${change.bars.length > 1 ? "are" : "is"} ${change.edition === "new" ? "new" : "gone"}`;
      const after = change.after === undefined ? ", before all others" : `, after bar ${change.after}`;
      return `${what}${after} (${counted(change.notes, "note")})`;
    }
  }
}

function fingersWords(notes: readonly NotePrint[]): string {
  const [only, ...others] = notes;
  if (others.length === 0) {
    const { pitch, old, new: now } = only!;
    if (old === "") return `${pitch} has ${now}, and had no finger`;
    if (now === "") return `${pitch} has no finger, and had ${old}`;
    return `${now} instead of ${old} on ${pitch}`;
  }
  const row = (which: "old" | "new"): string => fingerRow(notes, which);
  if (notes.every(({ old }) => old === "")) return `${row("new")}, where no fingers were`;
  if (notes.every((note) => note.new === "")) return `no fingers instead of ${row("old")}`;
  return `${row("new")} instead of ${row("old")}`;
}

/** `3 2+1 4`: notes of a chord together; a dash stands for a note without a finger. */
function fingerRow(notes: readonly NotePrint[], which: "old" | "new"): string {
  const chords: string[][] = [];
  for (const note of notes) {
    chords[note.chord] ??= [];
    chords[note.chord]!.push(note[which] === "" ? "–" : note[which]);
  }
  return chords
    .filter((chord) => chord !== undefined)
    .map((chord) => chord.join("+"))
    .join(" ");
}

function bracketWords(old: EditionBracket | undefined, now: EditionBracket | undefined): string {
  if (!old) return `new bracket ${extent(now!)}`;
  if (!now) return `no bracket ${extent(old)} any more`;
  const starts = joined(old.firstNotes) === joined(now.firstNotes) && !otherPlace(old.first, now.first);
  const ends = joined(old.lastNotes) === joined(now.lastNotes) && !otherPlace(old.last, now.last);
  if (starts && !ends)
    return `bracket now ends on ${joined(now.lastNotes)} instead of ${joined(old.lastNotes)}`;
  if (ends && !starts)
    return `bracket now starts on ${joined(now.firstNotes)} instead of ${joined(old.firstNotes)}`;
  return `bracket now ${extent(now)} instead of ${extent(old)}`;
}

/** Notes of one name may stand at several places of a bar. */
function otherPlace(old: EditionPlace, now: EditionPlace): boolean {
  return old.beat !== now.beat;
}

function extent({ firstNotes, lastNotes, first, last }: EditionBracket): string {
  if (first.event === last.event) return `over ${joined(firstNotes)}`;
  return `from ${joined(firstNotes)} to ${joined(lastNotes)}`;
}

function notesWords(removed: readonly string[], added: readonly string[]): string {
  if (removed.length === 0) return `${joined(added)} ${added.length > 1 ? "are" : "is"} new`;
  if (added.length === 0) return `${joined(removed)} ${removed.length > 1 ? "are" : "is"} gone`;
  return `${joined(added)} instead of ${joined(removed)}`;
}

function joined(pitches: readonly string[]): string {
  return pitches.join("+");
}
