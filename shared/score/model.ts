import type { FingeringSite, NoteSite } from "../musicxml/noteSite.ts";
import type { Problem } from "../text/problem.ts";
import type { Span } from "../text/span.ts";
import type { Rational } from "./rational.ts";

export type Letter = "C" | "D" | "E" | "F" | "G" | "A" | "B";

/** A pitch as written, in scientific octaves (C4 = middle C). */
export interface Pitch {
  readonly letter: Letter;
  /** Semitones: −1 flat, 1 sharp; fractions are microtones. */
  readonly alter: number;
  readonly octave: number;
}

/** A `<fingering>` of a note. */
export interface WrittenFingering extends FingeringSite {
  /**
   * The note of the chord that the element stands on, when that is another: some programs write all fingers of a chord
   * on its first note.
   */
  readonly writtenOn?: Note;
}

/** Digits that are likely fingers, but stand in `<words>` or in a lyric. */
export interface ProbableFingering {
  readonly source: "words" | "lyric";
  /** As it stands there. */
  readonly text: string;
  /** digits[i] belongs to notes[i]. */
  readonly digits: readonly number[];
  readonly notes: readonly Note[];
  /** The `<words>` element, or the `<text>` of the lyric. */
  readonly span: Span;
}

/** A rest that carries fingerings, or another sign without a pitch. */
export interface FingeredRest {
  readonly measure: Measure;
  /** From the start of the measure, in quarter notes. */
  readonly position: Rational;
  /** From 1, top to bottom. */
  readonly staff: number;
  readonly site: NoteSite;
}

/** Signs that change how a note is played. */
export interface NoteMarks {
  readonly arpeggio?: "up" | "down" | "plain";
  /** Struck together, by a bracket before the chord. */
  readonly nonArpeggio?: boolean;
  readonly harmonic?: boolean;
  /** `single` on one note or chord; `start` and `stop` on the two that are played by turns. */
  readonly tremolo?: "single" | "start" | "stop";
  readonly trill?: boolean;
  readonly slideStart?: boolean;
  readonly slideStop?: boolean;
  readonly fermata?: boolean;
  readonly staccato?: boolean;
}

/** One printed note (never a rest). */
export interface Note {
  /** Place among the part's notes in document order, from 0. */
  readonly index: number;
  readonly measure: Measure;
  readonly pitch: Pitch;
  /** 7 × octave + letter, C = 0: the string, whatever the accidental. */
  readonly string: number;
  /** From the start of the measure, in quarter notes. */
  readonly position: Rational;
  /** In quarter notes; 0 for a grace note. */
  readonly duration: Rational;
  readonly voice: string;
  /** From 1, top to bottom. */
  readonly staff: number;
  /** Sounds with the note before it in the document. */
  readonly chord: boolean;
  readonly grace: { readonly stealsFollowing: boolean; readonly untilMain: number } | undefined;
  /** As written; see `continues` for what it comes to. */
  readonly tie: { readonly start: boolean; readonly stop: boolean; readonly letRing: boolean };
  /** Sounds on from a note that is tied to it, in whatever voice: it is not plucked. */
  readonly continues: boolean;
  readonly cue: boolean;
  /** False for `print-object="no"` and for a note without a head. */
  readonly printed: boolean;
  /** Id of the instrument that plays it, where the score says so. */
  readonly instrument: string | undefined;
  readonly fingerings: readonly WrittenFingering[];
  readonly marks: NoteMarks;
  readonly site: NoteSite;
}

/** A sign that strings are muffled, which a hand does. */
export interface Muffling {
  readonly measure: Measure;
  /** From the start of the measure, `<offset>` included. */
  readonly position: Rational;
  readonly staff: number;
  /** All strings: both hands are busy. Otherwise the hand of the staff is. */
  readonly all: boolean;
}

/** A `<harp-pedals>` diagram: how some pedals, or all, stand from here on. */
export interface PedalDiagram {
  readonly measure: Measure;
  /** From the start of the measure, `<offset>` included. */
  readonly position: Rational;
  /** Alterations by letter, in semitones. */
  readonly pedals: ReadonlyMap<Letter, number>;
  /** The `<harp-pedals>` element. */
  readonly span: Span;
}

/** One end of a `<bracket>` as it stands in a `<direction>`. */
export interface BracketEnd {
  readonly type: "start" | "stop" | "continue";
  readonly number: number;
  readonly lineEnd: string;
  readonly lineType: string;
  readonly placement: "above" | "below" | undefined;
  readonly voice: string | undefined;
  readonly staff: number;
  readonly measure: Measure;
  /** From the start of the measure, `<offset>` included. */
  readonly position: Rational;
  /** How many of the part's notes stand before it in the document. */
  readonly notesBefore: number;
  /** The same direction also has words, so the bracket is likely a line for text. */
  readonly withWords: boolean;
  /** The `<bracket>` element. */
  readonly span: Span;
  /** What goes when the bracket goes: its `<direction>`, or its `<direction-type>` where that says more. */
  readonly removal: Span;
  /** False when taking it away would take something else away as well, such as a comment. */
  readonly removable: boolean;
}

/** Words in a direction, kept for hand marks and rehearsal marks. */
export interface Words {
  readonly text: string;
  readonly staff: number;
  readonly voice: string | undefined;
  readonly placement: "above" | "below" | undefined;
  readonly measure: Measure;
  readonly position: Rational;
  readonly notesBefore: number;
  readonly span: Span;
  readonly rehearsal: boolean;
  /** A frame is drawn around it. */
  readonly framed: boolean;
}

/** What a barline or a direction says about the order of playing. */
export interface Jump {
  readonly kind:
    | "repeat-start"
    | "repeat-end"
    | "ending-start"
    | "ending-stop"
    | "segno"
    | "coda"
    | "da-capo"
    | "dal-segno"
    | "to-coda"
    | "fine";
  readonly measure: number;
  /** At the measure's start or its end. */
  readonly side: "start" | "end";
  /** How often a repeated stretch is played in all. */
  readonly times?: number;
  /** The passes that an ending is for; none when it does not say. */
  readonly passes?: readonly number[];
  /** Tells one segno or coda from another. */
  readonly label?: string;
}

/** A measure of one part. */
export interface Measure {
  readonly index: number;
  /** As printed. */
  readonly number: string;
  readonly span: Span;
  /** How far its notes and rests reach, in quarter notes. */
  readonly length: Rational;
  /** Sign and line of the clefs that stand in it, by staff. */
  readonly clefs: readonly { readonly staff: number; readonly sign: string; readonly position: Rational }[];
  /** Divisions of a quarter note in force at its end. */
  readonly divisions: Rational;
}

export interface Instrument {
  readonly id: string;
  readonly name: string;
  /** `instrument-sound`, one of the standard's list of sounds. */
  readonly sound: string;
  /** As written: 1 to 128. */
  readonly midiProgram: number | undefined;
}

export interface Part {
  readonly id: string;
  readonly name: string;
  readonly instruments: readonly Instrument[];
  readonly staves: number;
  /** Sharps (above 0) or flats (below) of its first key signature; undefined without one that counts them. */
  readonly key: number | undefined;
  readonly measures: readonly Measure[];
  readonly notes: readonly Note[];
  readonly brackets: readonly BracketEnd[];
  readonly words: readonly Words[];
  readonly mufflings: readonly Muffling[];
  readonly pedalDiagrams: readonly PedalDiagram[];
  /** Digits outside `<fingering>` that are likely fingers. */
  readonly probableFingerings: readonly ProbableFingering[];
  readonly fingeredRests: readonly FingeredRest[];
  /** Changes of the instrument that plays the part, in order of time. */
  readonly instrumentChanges: readonly InstrumentChange[];
  readonly span: Span;
  /** What was assumed in reading it, in sentences. */
  readonly assumptions: readonly string[];
}

/** From here on a part is played on another of its instruments. */
export interface InstrumentChange {
  readonly measure: Measure;
  readonly position: Rational;
  readonly instrument: string;
}

/** A change of tempo, in quarter notes a minute. */
export interface TempoMark {
  readonly measure: number;
  readonly position: Rational;
  readonly quartersPerMinute: number;
}

/** A score as read. Everything in it keeps its place in the text. */
export interface Score {
  readonly layout: "partwise" | "timewise";
  readonly version: string;
  readonly title: string;
  readonly parts: readonly Part[];
  /** Start of each measure from the start of the piece, in written order; as long as the longest part. */
  readonly measureStarts: readonly Rational[];
  readonly tempos: readonly TempoMark[];
  readonly jumps: readonly Jump[];
  /** False when the text is not well-formed XML: nothing may be written into it. */
  readonly wellFormed: boolean;
}

/** What reading gives: always a score, as far as it could be read, and what was wrong. */
export interface ReadResult {
  readonly score: Score;
  readonly problems: readonly Problem[];
}
