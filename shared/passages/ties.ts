import type { Tie } from "../fingering/tied.ts";
import type { HandLine } from "../score/handLines.ts";
import type { PassageClass } from "./model.ts";

/** Fewer events say too little to be held together. */
const fewestEvents = 3;

/** A figure that is only like another is fingered like it unless that costs more than this, in thousandths. */
const likenessMilli = 1500;

/**
 * The ties that make passages be fingered alike.
 *
 * An exact return is tied as a whole, whatever that costs: once chosen, a fingering is kept (common practice, no
 * source). So is every stretch of a near return that has the same strings event for event. A figure on other strings or
 * in the other hand is tied unless that costs more than 1.5.
 */
export function tiesOf(classes: readonly PassageClass[], lines: readonly HandLine[]): Tie[] {
  return classes.flatMap((passage) => {
    const sameStrings = passage.occurrences.every(
      ({ hand, steps }) => steps === 0 && hand === passage.occurrences[0]!.hand,
    );
    const atMostMilli = sameStrings ? undefined : likenessMilli;
    return stretchesAlike(passage, lines).map(({ from, to }) => ({
      atMostMilli,
      occurrences: passage.occurrences.map(({ hand }, k) => ({
        hand,
        first: passage.alignment[k]![from]!,
        last: passage.alignment[k]![to]!,
      })),
    }));
  });
}

/** Stretches of the first occurrence, from its first event, in which all places go on event by event alike. */
function stretchesAlike(
  { occurrences, alignment }: PassageClass,
  lines: readonly HandLine[],
): { from: number; to: number }[] {
  const lineOf = new Map(lines.map((line) => [line.hand, line]));
  const shape = (k: number, m: number): string | undefined => {
    const event = alignment[k]![m];
    const notes = event === undefined ? undefined : lineOf.get(occurrences[k]!.hand)!.events[event]!.notes;
    return notes?.map((note) => note.string - notes[0]!.string).join(" ");
  };
  const step = (k: number, m: number): number | undefined => {
    const line = lineOf.get(occurrences[k]!.hand)!;
    const [a, b] = [alignment[k]![m - 1], alignment[k]![m]];
    if (a === undefined || b !== a + 1) return undefined;
    return line.events[b]!.notes[0]!.string - line.events[a]!.notes[0]!.string;
  };
  const places = occurrences.map((_, k) => k);
  const alike = (m: number): boolean => {
    const first = shape(0, m);
    return first !== undefined && places.every((k) => shape(k, m) === first);
  };
  const goesOn = (m: number): boolean => {
    const first = step(0, m);
    return first !== undefined && places.every((k) => step(k, m) === first);
  };
  const found: { from: number; to: number }[] = [];
  const length = alignment[0]!.length;
  for (let m = 0; m < length; m += 1) {
    if (!alike(m)) continue;
    const from = m;
    while (m + 1 < length && alike(m + 1) && goesOn(m + 1)) m += 1;
    if (m - from + 1 >= fewestEvents) found.push({ from, to: m });
  }
  return found;
}
