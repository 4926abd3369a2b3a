import type { WrittenHand } from "../../fingering/written.ts";
import type { EventNote } from "../../score/handLines.ts";
import type { Note } from "../../score/model.ts";
import { add, compare, type Rational, subtract, toNumber } from "../../score/rational.ts";
import { Timeline } from "../../score/timeline.ts";
import { firstWhere } from "../../text/firstWhere.ts";
import { orFound } from "../../text/orFound.ts";
import type { RuleInput } from "../define.ts";

/** A string that is plucked. */
export interface Plucked {
  readonly hand: WrittenHand;
  readonly event: number;
  readonly entry: EventNote;
  /** In microseconds from the start of the piece. */
  readonly from: number;
}

/** Rounded lengths leave gaps. In quarter notes. */
const tolerance = 1 / 16;

const known = new WeakMap<RuleInput["hands"], RingingStrings>();

/** What rings in a score; worked out once for it, and only when it is asked for. */
export function ringingStrings(input: RuleInput): RingingStrings {
  return orFound(known, input.hands, () => new RingingStrings(input));
}

/** What rings when, by string, in order of time. */
class RingingStrings {
  readonly #byString = new Map<number, Plucked[]>();
  readonly #score: RuleInput["score"];
  readonly #timeline: Timeline;
  #continued: Continuations | undefined;

  constructor({ hands, score, tempo }: RuleInput) {
    this.#score = score;
    this.#timeline = new Timeline(score, tempo);
    for (const hand of hands) {
      hand.line.events.forEach(({ notes, atMicros }, event) => {
        for (const entry of notes) {
          const plucked = { hand, event, entry, from: atMicros };
          const before = this.#byString.get(entry.string);
          if (before) before.push(plucked);
          else this.#byString.set(entry.string, [plucked]);
        }
      });
    }
    for (const rings of this.#byString.values()) rings.sort((a, b) => a.from - b.from);
  }

  /** When the sound is written to end, in microseconds from the start of the piece, ties included; no end for a note that is to ring on. */
  until({ entry: { note, doubles } }: Plucked): number {
    let until = this.#until(note);
    for (const double of doubles) until = Math.max(until, this.#until(double));
    return until;
  }

  #until(note: Note): number {
    this.#continued ??= new Continuations(this.#score);
    let end = endOf(this.#score, note);
    let last = note;
    for (let next = this.#continued.from(note, end); next; next = this.#continued.from(next, end)) {
      end = endOf(this.#score, next);
      last = next;
    }
    return last.tie.letRing ? Number.POSITIVE_INFINITY : this.#timeline.micros(end);
  }

  /** What was plucked last on a string before a time. Time O(log n). */
  lastBefore(string: number, micros: number): Plucked | undefined {
    const rings = this.#byString.get(string) ?? [];
    return rings[firstWhere(rings.length, (i) => rings[i]!.from >= micros) - 1];
  }
}

function onsetOf({ measureStarts }: RuleInput["score"], note: Note): Rational {
  return add(measureStarts[note.measure.index]!, note.position);
}

function endOf(score: RuleInput["score"], note: Note): Rational {
  return add(onsetOf(score, note), note.duration);
}

/** The notes that sound on from others. */
class Continuations {
  readonly #byString = new Map<number, { readonly note: Note; readonly onset: Rational }[]>();

  constructor(score: RuleInput["score"]) {
    for (const part of score.parts) {
      for (const note of part.notes) {
        if (!note.continues) continue;
        const entry = { note, onset: onsetOf(score, note) };
        const before = this.#byString.get(note.string);
        if (before) before.push(entry);
        else this.#byString.set(note.string, [entry]);
      }
    }
    for (const entries of this.#byString.values()) entries.sort((a, b) => compare(a.onset, b.onset));
  }

  /** The note that a tied one sounds on in; undefined when it ends here. */
  from(note: Note, end: Rational): Note | undefined {
    if (!note.tie.start) return undefined;
    const entries = this.#byString.get(note.string) ?? [];
    const at = firstWhere(entries.length, (i) => toNumber(subtract(entries[i]!.onset, end)) >= -tolerance);
    const entry = entries[at];
    const isNext = entry && entry.note !== note && toNumber(subtract(entry.onset, end)) <= tolerance;
    return isNext && entry.note.duration.n > 0 ? entry.note : undefined;
  }
}

/** True when a sign or a staccato stops strings between two times: the sound is meant to end. */
export function isMuffledBetween({ score, harp, tempo }: RuleInput, from: number, to: number): boolean {
  if (harp.parts.every(({ mufflings }) => mufflings.length === 0)) return false;
  const timeline = new Timeline(score, tempo);
  return harp.parts.some(({ mufflings }) =>
    mufflings.some(({ measure, position }) => {
      const at = timeline.micros(add(score.measureStarts[measure.index]!, position));
      return at >= from && at <= to;
    }),
  );
}
