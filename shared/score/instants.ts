import type { Note } from "./model.ts";
import { type Rational, toNumber } from "./rational.ts";

/** An onset in a measure, and what decides whether it is another's, put slightly apart. */
interface Onset {
  readonly position: Rational;
  readonly quarters: number;
  /** The shortest note that begins here. */
  shortest: number;
  readonly voices: Set<string>;
}

/**
 * How far apart onsets may lie that are meant together, in quarter notes and as a share of the shorter note that
 * begins there. Rounding a length moves an onset by a division. Where many lengths were rounded the errors add up; what
 * is allowed for that keeps apart what five notes against six do in a quarter note.
 */
const rounded = { divisions: 1.01, quarters: 1 / 16, share: 1 / 4 };
const drifted = { quarters: 1 / 50, share: 1 / 8 };

/**
 * The instants of one measure. Programs round the lengths of tuplets to whole divisions, so that notes of two voices
 * that sound together come out one division apart; here they get the same position again.
 */
export class Instants {
  readonly #unified: ReadonlyMap<number, Rational>;

  private constructor(unified: ReadonlyMap<number, Rational>) {
    this.#unified = unified;
  }

  /**
   * @param notes of a part; those from `first` on are the measure's.
   * @returns undefined when nothing in the measure is put apart.
   */
  static of(notes: readonly Note[], first: number, divisions: Rational): Instants | undefined {
    const division = Math.min(rounded.quarters, rounded.divisions / toNumber(divisions));
    if (!someAreClose(notes, first, Math.max(division, drifted.quarters))) return undefined;
    const onsets = onsetsOf(notes, first);
    const unified = new Map<number, Rational>();
    let kept = onsets[0];
    for (const onset of onsets.slice(1)) {
      if (!kept || !isSameInstant(kept, onset, division)) {
        kept = onset;
        continue;
      }
      unified.set(onset.quarters, kept.position);
      for (const voice of onset.voices) kept.voices.add(voice);
      kept.shortest = Math.min(kept.shortest, onset.shortest);
    }
    return unified.size > 0 ? new Instants(unified) : undefined;
  }

  /** The position that stands for this one. */
  of(position: Rational): Rational {
    return this.#unified.get(toNumber(position)) ?? position;
  }
}

/** Twelfths and sixteenths of a quarter note, together: where all positions are such, none are close. */
const commonDenominator = 48;

function someAreClose(notes: readonly Note[], first: number, reach: number): boolean {
  if (reach < 1 / commonDenominator && areCommon(notes, first)) return false;
  const places = new Float64Array(notes.length - first);
  for (let i = first; i < notes.length; i += 1) places[i - first] = toNumber(notes[i]!.position);
  places.sort();
  return places.some((place, i) => i > 0 && place !== places[i - 1] && place - places[i - 1]! <= reach);
}

function areCommon(notes: readonly Note[], first: number): boolean {
  for (let i = first; i < notes.length; i += 1) {
    if (commonDenominator % notes[i]!.position.d !== 0) return false;
  }
  return true;
}

function onsetsOf(notes: readonly Note[], first: number): Onset[] {
  const byPlace = new Map<number, Onset>();
  for (let i = first; i < notes.length; i += 1) {
    const { position, duration, voice, grace } = notes[i]!;
    const quarters = toNumber(position);
    const length = grace ? Number.POSITIVE_INFINITY : toNumber(duration);
    const known = byPlace.get(quarters);
    if (known) {
      known.shortest = Math.min(known.shortest, length);
      known.voices.add(voice);
    } else byPlace.set(quarters, { position, quarters, shortest: length, voices: new Set([voice]) });
  }
  return [...byPlace.values()].sort((a, b) => a.quarters - b.quarters);
}

/** Notes of one voice follow each other; those of two voices may be meant to sound together. */
function isSameInstant(a: Onset, b: Onset, division: number): boolean {
  const apart = b.quarters - a.quarters;
  const share = apart / Math.min(a.shortest, b.shortest);
  const isRounded = apart <= division && share <= rounded.share;
  const isDrifted = apart <= drifted.quarters && share <= drifted.share;
  if (!isRounded && !isDrifted) return false;
  for (const voice of b.voices) if (a.voices.has(voice)) return false;
  return true;
}
