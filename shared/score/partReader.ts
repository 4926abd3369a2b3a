import { child, childrenNamed, childText, type LocatedElement } from "../musicxml/element.ts";
import type { NoteReader } from "../musicxml/noteReader.ts";
import type { Problem } from "../text/problem.ts";
import { shareChordFingerings } from "./chordFingerings.ts";
import { Instants } from "./instants.ts";
import type {
  BracketEnd,
  FingeredRest,
  Instrument,
  InstrumentChange,
  Jump,
  Measure,
  Muffling,
  Part,
  PedalDiagram,
  ProbableFingering,
  TempoMark,
  Words,
} from "./model.ts";
import { fingersInLyrics, fingersInWords } from "./probableFingerings.ts";
import {
  add,
  compare,
  divide,
  larger,
  parseDecimal,
  type Rational,
  rational,
  subtract,
  toNumber,
  zero,
} from "./rational.ts";
import { type DirectionListener, readBarline, readDirection, readSound } from "./readDirection.ts";
import { type NoteInProgress, NoteMaker } from "./readNote.ts";

/** What a part tells of the whole score. */
export interface Told {
  problem(problem: Problem): void;
  tempo(tempo: TempoMark): void;
  jump(jump: Jump): void;
}

/** A part as it is built: notes may still learn what they are tied to. */
export interface PartInProgress extends Part {
  readonly notes: readonly NoteInProgress[];
  readonly assumptions: string[];
}

type MeasureInProgress = {
  -readonly [K in keyof Measure]: Measure[K] extends readonly (infer T)[] ? T[] : Measure[K];
} & { span: { start: number; end: number } };

type Moved<T> = { -readonly [K in keyof T]: T[K] };

/** Reads one part, measure by measure. */
export class PartReader {
  readonly id: string;
  readonly #name: string;
  readonly #instruments: readonly Instrument[];
  readonly #told: Told;
  readonly #span: { start: number; end: number };
  readonly #measures: Measure[] = [];
  readonly #notes: NoteInProgress[] = [];
  readonly #brackets: Moved<BracketEnd>[] = [];
  readonly #words: Moved<Words>[] = [];
  readonly #mufflings: Muffling[] = [];
  readonly #pedalDiagrams: PedalDiagram[] = [];
  readonly #probable: ProbableFingering[] = [];
  readonly #fingeredRests: FingeredRest[] = [];
  readonly #instrumentChanges: InstrumentChange[] = [];
  readonly #maker = new NoteMaker();
  #staves = 1;
  #key: number | undefined;
  #divisions: Rational = { n: 1, d: 1 };
  /** Lengths of the durations that were met under these divisions. */
  #lengths = new Map<string, Rational>();
  readonly #sums = new Map<Rational, Map<Rational, Rational>>();
  readonly #positions = new Map<number, Rational>();
  #measure: MeasureInProgress | undefined;
  /** Where this measure's notes, brackets and words begin among the part's. */
  #from = { notes: 0, brackets: 0, words: 0 };
  #wentBack = false;
  #position: Rational = zero;
  #chordPosition: Rational = zero;
  /** Grace notes of a voice that wait for their main note. */
  readonly #waiting = new Map<string, NoteInProgress[]>();

  constructor(id: string, name: string, instruments: readonly Instrument[], start: number, told: Told) {
    this.id = id;
    this.#name = name;
    this.#instruments = instruments;
    this.#told = told;
    this.#span = { start, end: start };
  }

  openMeasure(index: number, number: string, start: number): void {
    this.#measure = {
      index,
      number,
      span: { start, end: start },
      length: zero,
      clefs: [],
      divisions: this.#divisions,
    };
    this.#from = { notes: this.#notes.length, brackets: this.#brackets.length, words: this.#words.length };
    this.#wentBack = false;
    this.#position = zero;
    this.#chordPosition = zero;
  }

  closeMeasure(end: number): void {
    const measure = this.#measure;
    if (!measure) return;
    measure.span.end = end;
    measure.divisions = this.#divisions;
    if (this.#wentBack) this.#unifyInstants();
    this.#probable.push(
      ...fingersInWords(this.#words.slice(this.#from.words), this.#notes.slice(this.#from.notes)),
    );
    this.#measures.push(measure);
    this.#measure = undefined;
  }

  end(end: number): void {
    this.#span.end = end;
  }

  /** A note, or a rest. */
  note(read: NoteReader): void {
    const measure = this.#measure;
    if (!measure) return;
    const { grace } = read;
    const duration = grace ? zero : (this.#lengths.get(read.duration ?? "") ?? this.#noteLength(read));
    const position = read.chord ? this.#chordPosition : this.#position;
    const note = this.#maker.note(read, this.#notes.length, measure, position, duration);
    if (note) {
      this.#notes.push(note);
      if (read.lyricDigits) this.#probable.push(...fingersInLyrics(note, read.lyricDigits));
      if (grace) this.#addGrace(note);
      else if (!read.chord) this.#settleGraces(note.voice);
    } else if (!read.hasPitch) {
      // Before a rest they are the end of the note before.
      if (!read.chord && !grace) this.#settleGraces(read.voice);
      if (read.hasNotations) this.#addFingeredRest(read, measure, position);
    } else {
      this.#report("the pitch of a note cannot be read. Check its <step> and <octave>.", read.site().span);
    }
    if (read.chord) return;
    this.#chordPosition = position;
    if (!grace) this.#move(this.#after(position, duration));
  }

  #addFingeredRest(read: NoteReader, measure: MeasureInProgress, position: Rational): void {
    const site = read.site();
    const isFingered = site.notations.some(({ technical }) =>
      technical.some(({ fingerings }) => fingerings.length > 0),
    );
    if (isFingered) this.#fingeredRests.push({ measure, position, staff: read.staff, site });
  }

  /** Sums of positions and lengths; a score has few different ones. */
  #after(position: Rational, duration: Rational): Rational {
    let sums = this.#sums.get(position);
    if (!sums) {
      if (this.#sums.size > mostSums) this.#sums.clear();
      sums = new Map();
      this.#sums.set(position, sums);
    }
    let sum = sums.get(duration);
    if (!sum) {
      sum = this.#kept(add(position, duration));
      sums.set(duration, sum);
    }
    return sum;
  }

  /** The same object for the same number, so that sums with it are found again. */
  #kept(position: Rational): Rational {
    const key = position.n * 0x100000 + position.d;
    const known = this.#positions.get(key);
    if (known && known.n === position.n && known.d === position.d) return known;
    if (this.#positions.size > mostSums) this.#positions.clear();
    this.#positions.set(key, position);
    return position;
  }

  /** Anything else in a measure that is read. */
  element(element: LocatedElement): void {
    const measure = this.#measure;
    if (!measure) return;
    switch (element.name) {
      case "backup":
        this.#backup(element);
        break;
      case "forward":
        this.#wentBack = true;
        this.#move(add(this.#position, this.#elementLength(element)));
        break;
      case "attributes":
        this.#attributes(element, measure);
        break;
      case "direction":
        this.#direction(element, measure);
        break;
      case "barline":
        for (const jump of readBarline(element, measure.index)) this.#told.jump(jump);
        break;
      case "sound":
        readSound(element, measure.index, this.#position, this.#listener);
        break;
    }
  }

  #addGrace(note: NoteInProgress): void {
    const waiting = this.#waiting.get(note.voice) ?? [];
    if (note.chord && waiting.length > 0) note.grace = { ...note.grace!, untilMain: -1 };
    waiting.push(note);
    this.#waiting.set(note.voice, waiting);
  }

  /** Counts a voice's waiting grace notes down to their main note; those of one chord count as one. */
  #settleGraces(voice: string): void {
    const waiting = this.#waiting.get(voice);
    if (!waiting) return;
    let untilMain = 0;
    for (let i = waiting.length - 1; i >= 0; i -= 1) {
      const grace = waiting[i]!.grace!;
      const belongsToChord = grace.untilMain === -1;
      grace.untilMain = untilMain + 1;
      if (!belongsToChord) untilMain += 1;
    }
    this.#waiting.delete(voice);
  }

  #backup(element: LocatedElement): void {
    this.#wentBack = true;
    const back = this.#elementLength(element);
    const target = subtract(this.#position, back);
    if (toNumber(target) < -roundingQuarters) {
      const asked = childText(element, "duration");
      const used = divisionsText(this.#position, this.#divisions);
      this.#report(
        `<backup> goes back ${asked} divisions, only ${used} were used. Check its <duration>.`,
        element.span,
        "warning",
      );
    }
    // Rounded lengths add up to a little more or less than the measure: what is near its start means its start.
    const isNearStart = toNumber(target) < Math.min(roundingQuarters, toNumber(back) / 2);
    this.#position = isNearStart ? zero : target;
    this.#chordPosition = this.#position;
  }

  #move(to: Rational): void {
    this.#position = to;
    this.#measure!.length = larger(this.#measure!.length, to);
  }

  #noteLength(read: NoteReader): Rational {
    return this.#length(read.duration, read.site().span, "note");
  }

  #elementLength(element: LocatedElement): Rational {
    const written = child(element, "duration");
    return this.#length(written?.text, (written ?? element).span, element.name);
  }

  /** The length of a `<duration>`, in quarter notes; 0, and a problem, for one that cannot be read. */
  #length(written: string | undefined, span: Problem["span"], of: string): Rational {
    const value = parseDecimal(written);
    if (!value || value.n < 0) {
      const what =
        written === undefined
          ? "<duration> is missing"
          : `<duration> of ${JSON.stringify(written.trim().slice(0, 40))} is not a length`;
      this.#report(`${what} in this <${of}>. Write a number of divisions, 0 or more.`, span);
      return zero;
    }
    const length = value.n === 0 ? zero : divide(value, this.#divisions);
    this.#lengths.set(written!, length);
    return length;
  }

  #attributes(element: LocatedElement, measure: MeasureInProgress): void {
    const divisions = child(element, "divisions");
    if (divisions) {
      const value = parseDecimal(divisions.text);
      if (!value || value.n <= 0) this.#report("<divisions> must be a number above 0.", divisions.span);
      else if (compare(value, this.#divisions) !== 0) {
        this.#divisions = value;
        this.#lengths = new Map();
      }
    }
    const staves = Number.parseInt(childText(element, "staves") ?? "", 10);
    if (staves > 0) this.#staves = Math.max(this.#staves, Math.min(staves, mostStaves));
    const key = child(element, "key");
    const fifths = Number.parseInt((key && childText(key, "fifths")) ?? "", 10);
    if (this.#key === undefined && Math.abs(fifths) <= 7) this.#key = fifths;
    for (const clef of childrenNamed(element, "clef")) {
      const staff = Number.parseInt(clef.attributes.number ?? "1", 10) || 1;
      measure.clefs.push({ staff, sign: childText(clef, "sign") ?? "", position: this.#position });
    }
  }

  #direction(element: LocatedElement, measure: MeasureInProgress): void {
    readDirection(
      element,
      {
        measure,
        position: this.#position,
        notesBefore: this.#notes.length,
        divisions: this.#divisions,
      },
      this.#listener,
    );
  }

  readonly #listener: DirectionListener = {
    bracket: (end) => this.#brackets.push(end),
    words: (words) => this.#words.push(words),
    tempo: (quartersPerMinute, position) =>
      this.#told.tempo({ measure: this.#measure!.index, position, quartersPerMinute }),
    jump: (jump) => this.#told.jump(jump),
    muffling: (muffling) => this.#mufflings.push(muffling),
    pedals: (diagram) => this.#pedalDiagrams.push(diagram),
    instrument: (instrument, position) =>
      this.#instrumentChanges.push({ measure: this.#measure!, position, instrument }),
  };

  /** Puts what happens together at one place in time, where rounded durations put it slightly apart. */
  #unifyInstants(): void {
    const notes = this.#notes;
    const instants = Instants.of(notes, this.#from.notes, this.#divisions);
    if (!instants) return;
    for (let i = this.#from.notes; i < notes.length; i += 1)
      notes[i]!.position = instants.of(notes[i]!.position);
    for (const end of this.#brackets.slice(this.#from.brackets)) end.position = instants.of(end.position);
    for (const words of this.#words.slice(this.#from.words)) words.position = instants.of(words.position);
  }

  #report(what: string, span: Problem["span"], severity: "error" | "warning" = "error"): void {
    const message = `Part ${this.#name || this.id}, measure ${this.#measure!.number}: ${what}`;
    this.#told.problem({ severity, message, span });
  }

  /** @param end of the text: where a part ends that never closes. */
  finish(end: number): PartInProgress {
    if (this.#measure) this.closeMeasure(end);
    if (this.#span.end === this.#span.start) this.#span.end = end;
    for (const voice of [...this.#waiting.keys()]) this.#settleGraces(voice);
    return {
      id: this.id,
      name: this.#name,
      instruments: this.#instruments,
      key: this.#key,
      staves: Math.min(
        mostStaves,
        this.#notes.reduce((most, note) => Math.max(most, note.staff), this.#staves),
      ),
      measures: this.#measures,
      notes: this.#notes,
      brackets: this.#brackets,
      words: this.#words,
      mufflings: this.#mufflings,
      pedalDiagrams: this.#pedalDiagrams,
      probableFingerings: this.#probable,
      fingeredRests: this.#fingeredRests,
      instrumentChanges: this.#instrumentChanges,
      span: this.#span,
      assumptions: shareChordFingerings(this.#notes),
    };
  }
}

/** A 64th note: what rounded lengths of a measure are wrong by at most. */
const roundingQuarters = 1 / 16;

/** Positions and sums that are kept at most. */
const mostSums = 10_000;

/** More staves than any harp part has; a number beyond it is a mistake. */
const mostStaves = 16;

function divisionsText(position: Rational, divisions: Rational): string {
  const used = rational(position.n * divisions.n, position.d * divisions.d);
  return used.d === 1 ? String(used.n) : (used.n / used.d).toFixed(2);
}
