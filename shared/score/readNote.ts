import type { NoteReader } from "../musicxml/noteReader.ts";
import type { NoteSite } from "../musicxml/noteSite.ts";
import type { Letter, Measure, Note, NoteMarks, Pitch, WrittenFingering } from "./model.ts";
import { stringOf } from "./pitch.ts";
import type { Rational } from "./rational.ts";

/** A note of which some things are found out later. */
export type NoteInProgress = {
  -readonly [K in keyof Note]: Note[K];
} & { grace: { readonly stealsFollowing: boolean; untilMain: number } | undefined };

const noFingerings: readonly WrittenFingering[] = [];
const noMarks: NoteMarks = {};
const untied: Note["tie"] = { start: false, stop: false, letRing: false };

/** Makes notes from what a `NoteReader` read. Pitches and voices that come again are kept once. */
export class NoteMaker {
  /** By step and octave, then by alteration. */
  readonly #pitches = new Map<number, Map<string, Pitch>>();
  readonly #voices = new Map<string, string>();

  /**
   * @param index    place among the part's notes.
   * @param position from the start of the measure; `duration`: its length; both in quarter notes.
   * @returns undefined for a note without a pitch (a rest, a drum), or with one that cannot be read.
   */
  note(
    read: NoteReader,
    index: number,
    measure: Measure,
    position: Rational,
    duration: Rational,
  ): NoteInProgress | undefined {
    const pitch = read.hasPitch ? this.#pitch(read.step, read.alter, read.octave) : undefined;
    if (!pitch) return undefined;
    const tied = read.tieStart || read.tieStop || read.letRing;
    const site = read.site();
    return {
      index,
      measure,
      pitch,
      string: stringOf(pitch),
      position,
      duration,
      voice: this.#voice(read.voice),
      staff: read.staff,
      chord: read.chord,
      grace: read.grace ? { stealsFollowing: read.stealsFollowing, untilMain: 1 } : undefined,
      tie: tied ? { start: read.tieStart, stop: read.tieStop, letRing: read.letRing } : untied,
      continues: false,
      cue: read.cue,
      printed: read.printed,
      instrument: read.instrument,
      fingerings: readFingerings(site),
      marks: read.signs ?? noMarks,
      site,
    };
  }

  #pitch(step: string, alter: string, octave: string): Pitch | undefined {
    if (step.length !== 1 || octave.length !== 1) return undefined;
    const place = step.charCodeAt(0) * 0x10000 + octave.charCodeAt(0);
    let known = this.#pitches.get(place);
    const pitch = known?.get(alter) ?? readPitch(step, alter, octave);
    if (!pitch) return undefined;
    if (!known) {
      known = new Map();
      this.#pitches.set(place, known);
    }
    if (known.size < mostAlterations) known.set(alter, pitch);
    return pitch;
  }

  #voice(voice: string): string {
    const known = this.#voices.get(voice);
    if (known !== undefined) return known;
    this.#voices.set(voice, voice);
    return voice;
  }
}

/** Spellings of alterations that are kept; real scores have five. */
const mostAlterations = 50;

function readPitch(step: string, alter: string, octave: string): Pitch | undefined {
  if (!/^[A-G]$/.test(step) || !/^\d$/.test(octave)) return undefined;
  const semitones = Number.parseFloat(alter || "0");
  const known = Number.isFinite(semitones) && Math.abs(semitones) <= 4;
  return { letter: step as Letter, alter: known ? semitones : 0, octave: Number(octave) };
}

function readFingerings({ notations }: NoteSite): readonly WrittenFingering[] {
  const [only, another] = notations;
  if (!only) return noFingerings;
  if (!another && only.technical.length === 1) return only.technical[0]!.fingerings;
  return notations.flatMap(({ technical }) => technical.flatMap(({ fingerings }) => fingerings));
}
