import type { LyricDigits } from "../musicxml/noteReader.ts";
import { isFingerDigits } from "../musicxml/textFingeringEdits.ts";
import type { Note, ProbableFingering, Words } from "./model.ts";
import { format } from "./rational.ts";

function digitsOf(text: string): number[] | undefined {
  return isFingerDigits(text) ? (text.match(/\d/g) ?? []).map(Number) : undefined;
}

/**
 * Digits among the words of a measure that stand where notes of their staff begin, not more than there are notes.
 * A framed number is a rehearsal mark or a bar number.
 *
 * @param notes of the measure.
 */
export function fingersInWords(words: readonly Words[], notes: readonly Note[]): ProbableFingering[] {
  const found: ProbableFingering[] = [];
  let fromTop: ReadonlyMap<string, readonly Note[]> | undefined;
  for (const word of words) {
    const digits = word.rehearsal || word.framed ? undefined : digitsOf(word.text);
    if (!digits) continue;
    fromTop ??= notesByPlace(notes);
    const here = fromTop.get(placeOf(word)) ?? [];
    if (digits.length > here.length) continue;
    found.push({
      source: "words",
      text: word.text,
      ...shared(digits, here, word.placement),
      span: word.span,
    });
  }
  return found;
}

function placeOf({ staff, position }: Pick<Note, "staff" | "position">): string {
  return `${staff} ${format(position)}`;
}

/** The notes of each place, highest first; grace notes are at no place of their own. */
function notesByPlace(notes: readonly Note[]): Map<string, Note[]> {
  const byPlace = new Map<string, Note[]>();
  for (const note of notes) {
    if (note.grace) continue;
    const here = byPlace.get(placeOf(note));
    if (here) here.push(note);
    else byPlace.set(placeOf(note), [note]);
  }
  for (const here of byPlace.values()) here.sort((a, b) => b.string - a.string);
  return byPlace;
}

/** Digits in the lyrics of a note. */
export function fingersInLyrics(note: Note, lyrics: readonly LyricDigits[]): ProbableFingering[] {
  return lyrics.flatMap(({ text, span }) => {
    const digits = digitsOf(text);
    return digits?.length === 1 ? [{ source: "lyric" as const, text, digits, notes: [note], span }] : [];
  });
}

/** Above a staff the digits belong to the top notes, below it to the bottom ones; the thumb is always on top. */
function shared(
  digits: readonly number[],
  fromTop: readonly Note[],
  placement: Words["placement"],
): Pick<ProbableFingering, "digits" | "notes"> {
  const notes =
    placement === "below" ? fromTop.slice(fromTop.length - digits.length) : fromTop.slice(0, digits.length);
  const falling = digits.every((digit, i) => i === 0 || digit < digits[i - 1]!);
  return { digits: falling && digits.length > 1 ? [...digits].reverse() : digits, notes };
}
