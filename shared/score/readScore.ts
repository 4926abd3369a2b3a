import { child, childrenNamed, childText, type LocatedElement } from "../musicxml/element.ts";
import { type ScanHandler, scan } from "../musicxml/scan.ts";
import type { Problem } from "../text/problem.ts";
import type {
  BracketEnd,
  Instrument,
  Jump,
  Measure,
  Note,
  Part,
  ReadResult,
  TempoMark,
  Words,
} from "./model.ts";
import {
  add,
  compare,
  divide,
  larger,
  parseDecimal,
  type Rational,
  rational,
  subtract,
  zero,
} from "./rational.ts";
import { readBarline, readDirection, readSound } from "./readDirection.ts";
import { type NoteInProgress, readNote } from "./readNote.ts";

/**
 * Reads a MusicXML score, partwise or timewise.
 *
 * @param text the whole document, decoded.
 * @returns the score as far as it could be read, and the problems; never throws for a broken text.
 * Time and memory O(text.length).
 * Source: MusicXML 4.0, musicxml.xsd.
 */
export function readScore(text: string): ReadResult {
  const reader = new ScoreReader();
  const malformed = scan(text, reader);
  return reader.finish(text, malformed);
}

const keptInMeasure = new Set(["note", "backup", "forward", "attributes", "direction", "barline", "sound"]);
const keptOutside = new Set(["part-list", "movement-title", "work"]);

class ScoreReader implements ScanHandler {
  readonly #problems: Problem[] = [];
  readonly #parts: PartReader[] = [];
  readonly #described = new Map<string, { name: string; instruments: Instrument[] }>();
  readonly #tempos: TempoMark[] = [];
  readonly #jumps: Jump[] = [];
  readonly #knownJumps = new Set<string>();
  #layout: "partwise" | "timewise" | undefined;
  #root: string | undefined;
  #version = "";
  #title = "";
  #part: PartReader | undefined;
  #measure: { number: string; start: number } | undefined;
  #measureIndex = -1;

  keep(name: string): boolean {
    if (this.#part && this.#measure) return keptInMeasure.has(name);
    return keptOutside.has(name);
  }

  open(name: string, attributes: Readonly<Record<string, string>>, start: number): void {
    if (this.#root === undefined) {
      this.#root = name;
      if (name === "score-partwise") this.#layout = "partwise";
      else if (name === "score-timewise") this.#layout = "timewise";
      this.#version = attributes.version ?? "1.0";
      return;
    }
    if (!this.#layout) return;
    if (name === "part") {
      const id = attributes.id ?? "";
      const known = this.#layout === "timewise" ? this.#parts.find((part) => part.id === id) : undefined;
      this.#part = known ?? this.#newPart(id, start);
      if (this.#measure)
        this.#part.openMeasure(this.#measureIndex, this.#measure.number, this.#measure.start);
      else this.#measureIndex = -1;
    } else if (name === "measure") {
      this.#measureIndex += 1;
      this.#measure = { number: attributes.number ?? "", start };
      this.#part?.openMeasure(this.#measureIndex, this.#measure.number, start);
    }
  }

  close(name: string, end: number): void {
    if (name === "part") {
      if (this.#layout === "timewise") this.#part?.closeMeasure(end);
      this.#part?.end(end);
      this.#part = undefined;
    } else if (name === "measure") {
      this.#part?.closeMeasure(end);
      this.#measure = undefined;
    }
  }

  element(element: LocatedElement): void {
    if (this.#part && this.#measure) this.#part.element(element);
    else if (element.name === "part-list") this.#partList(element);
    else if (element.name === "movement-title") this.#title ||= element.text.trim();
    else if (element.name === "work") this.#title = childText(element, "work-title") || this.#title;
  }

  #newPart(id: string, start: number): PartReader {
    const described = this.#described.get(id);
    const part = new PartReader(id, described?.name ?? "", described?.instruments ?? [], start, {
      problem: (problem) => this.#problems.push(problem),
      tempo: (tempo) => this.#tempos.push(tempo),
      jump: (jump) => this.#jump(jump),
    });
    this.#parts.push(part);
    return part;
  }

  /** Every part repeats the same barlines: each jump is kept once. */
  #jump(jump: Jump): void {
    const key = `${jump.kind} ${jump.measure} ${jump.side}`;
    if (this.#knownJumps.has(key)) return;
    this.#knownJumps.add(key);
    this.#jumps.push(jump);
  }

  #partList(list: LocatedElement): void {
    for (const part of childrenNamed(list, "score-part")) {
      const programs = new Map(
        childrenNamed(part, "midi-instrument").map((midi) => [
          midi.attributes.id ?? "",
          Number.parseInt(childText(midi, "midi-program") ?? "", 10),
        ]),
      );
      this.#described.set(part.attributes.id ?? "", {
        name: childText(part, "part-name") ?? "",
        instruments: childrenNamed(part, "score-instrument").map((instrument) => {
          const id = instrument.attributes.id ?? "";
          const program = programs.get(id);
          return {
            id,
            name: childText(instrument, "instrument-name") ?? "",
            sound: childText(instrument, "instrument-sound") ?? "",
            midiProgram: program !== undefined && program > 0 ? program : undefined,
          };
        }),
      });
    }
  }

  finish(text: string, malformed: readonly Problem[]): ReadResult {
    const problems = [...malformed, ...this.#problems];
    if (!this.#layout && malformed.length === 0) {
      problems.push({
        severity: "error",
        message: `Not a MusicXML score: its root element is <${this.#root ?? ""}>, not <score-partwise> or <score-timewise>. Export the score as MusicXML.`,
        span: { start: 0, end: Math.min(text.length, 1) },
      });
    } else if (!this.#layout && this.#root === undefined) {
      problems.push({
        severity: "error",
        message: "No score was found in this text.",
        span: { start: 0, end: 0 },
      });
    }
    const parts = this.#parts.map((part) => part.finish());
    return {
      score: {
        layout: this.#layout ?? "partwise",
        version: this.#version,
        title: this.#title,
        parts,
        measureStarts: measureStarts(parts),
        tempos: this.#tempos.sort((a, b) => a.measure - b.measure || compare(a.position, b.position)),
        jumps: this.#jumps.sort((a, b) => a.measure - b.measure),
        wellFormed: malformed.length === 0 && this.#layout !== undefined,
      },
      problems: problems.sort((a, b) => a.span.start - b.span.start),
    };
  }
}

/** Measures start together in all parts; each lasts as long as the part that fills it most. */
function measureStarts(parts: readonly Part[]): Rational[] {
  const starts: Rational[] = [];
  const count = parts.reduce((most, part) => Math.max(most, part.measures.length), 0);
  let at = zero;
  for (let i = 0; i < count; i += 1) {
    starts.push(at);
    let longest = zero;
    for (const part of parts) {
      const length = part.measures[i]?.length;
      if (length) longest = larger(longest, length);
    }
    at = add(at, longest);
  }
  return starts;
}

interface Told {
  problem(problem: Problem): void;
  tempo(tempo: TempoMark): void;
  jump(jump: Jump): void;
}

type MeasureInProgress = {
  -readonly [K in keyof Measure]: Measure[K] extends readonly (infer T)[] ? T[] : Measure[K];
} & { span: { start: number; end: number } };

/** Reads one part, measure by measure. */
class PartReader {
  readonly id: string;
  readonly #name: string;
  readonly #instruments: readonly Instrument[];
  readonly #told: Told;
  readonly #span: { start: number; end: number };
  readonly #measures: Measure[] = [];
  readonly #notes: Note[] = [];
  readonly #brackets: BracketEnd[] = [];
  readonly #words: Words[] = [];
  #staves = 1;
  #divisions: Rational = { n: 1, d: 1 };
  #measure: MeasureInProgress | undefined;
  #position: Rational = zero;
  #chordPosition: Rational = zero;
  /** Grace notes of a voice that wait for their main note. */
  #waiting = new Map<string, NoteInProgress[]>();

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
    this.#position = zero;
    this.#chordPosition = zero;
  }

  closeMeasure(end: number): void {
    const measure = this.#measure;
    if (!measure) return;
    for (const voice of [...this.#waiting.keys()]) this.#settleGraces(voice);
    measure.span.end = end;
    measure.divisions = this.#divisions;
    this.#measures.push(measure);
    this.#measure = undefined;
  }

  end(end: number): void {
    this.#span.end = end;
  }

  element(element: LocatedElement): void {
    const measure = this.#measure;
    if (!measure) return;
    switch (element.name) {
      case "note":
        this.#note(element, measure);
        break;
      case "backup":
        this.#backup(element, measure);
        break;
      case "forward":
        this.#move(add(this.#position, this.#duration(element, measure)), measure);
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
      case "sound": {
        const { quartersPerMinute, jumps } = readSound(element, measure.index);
        if (quartersPerMinute !== undefined) {
          this.#told.tempo({ measure: measure.index, position: this.#position, quartersPerMinute });
        }
        for (const jump of jumps) this.#told.jump(jump);
        break;
      }
    }
  }

  #note(element: LocatedElement, measure: MeasureInProgress): void {
    const chord = child(element, "chord") !== undefined;
    const grace = child(element, "grace") !== undefined;
    const duration = grace ? zero : this.#duration(element, measure);
    const position = chord ? this.#chordPosition : this.#position;
    const note = readNote(element, { index: this.#notes.length, measure, position, duration });
    if (note) {
      this.#notes.push(note);
      if (grace) this.#addGrace(note);
      else if (!chord) this.#settleGraces(note.voice);
    } else if (child(element, "pitch")) {
      this.#report(measure, "the pitch of a note cannot be read. Check its <step> and <octave>.", element);
    }
    if (chord) return;
    this.#chordPosition = position;
    if (!grace) this.#move(add(position, duration), measure);
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

  #backup(element: LocatedElement, measure: MeasureInProgress): void {
    const back = this.#duration(element, measure);
    const target = subtract(this.#position, back);
    if (compare(target, zero) < 0) {
      const asked = childText(element, "duration");
      const used = divisionsText(this.#position, this.#divisions);
      this.#report(
        measure,
        `<backup> goes back ${asked} divisions, only ${used} were used. Check its <duration>.`,
        element,
        "warning",
      );
    }
    this.#position = larger(target, zero);
    this.#chordPosition = this.#position;
  }

  #move(to: Rational, measure: MeasureInProgress): void {
    this.#position = to;
    measure.length = larger(measure.length, to);
  }

  #duration(element: LocatedElement, measure: MeasureInProgress): Rational {
    const written = child(element, "duration");
    const value = parseDecimal(written?.text);
    if (!value || value.n < 0) {
      const what = written
        ? `<duration> of ${JSON.stringify(written.text.trim())} is not a length`
        : "<duration> is missing";
      this.#report(
        measure,
        `${what} in this <${element.name}>. Write a number of divisions, 0 or more.`,
        written ?? element,
      );
      return zero;
    }
    return value.n === 0 ? zero : divide(value, this.#divisions);
  }

  #attributes(element: LocatedElement, measure: MeasureInProgress): void {
    const divisions = child(element, "divisions");
    if (divisions) {
      const value = parseDecimal(divisions.text);
      if (value && value.n > 0) this.#divisions = value;
      else this.#report(measure, "<divisions> must be a number above 0.", divisions);
    }
    const staves = Number.parseInt(childText(element, "staves") ?? "", 10);
    if (staves > 0) this.#staves = Math.max(this.#staves, Math.min(staves, 16));
    for (const clef of childrenNamed(element, "clef")) {
      const staff = Number.parseInt(clef.attributes.number ?? "1", 10) || 1;
      measure.clefs.push({ staff, sign: childText(clef, "sign") ?? "", position: this.#position });
    }
  }

  #direction(element: LocatedElement, measure: MeasureInProgress): void {
    const content = readDirection(element, {
      measure,
      position: this.#position,
      notesBefore: this.#notes.length,
      divisions: this.#divisions,
    });
    this.#brackets.push(...content.brackets);
    this.#words.push(...content.words);
    if (content.tempo) this.#told.tempo(content.tempo);
    for (const jump of content.jumps) this.#told.jump(jump);
  }

  #report(
    measure: MeasureInProgress,
    what: string,
    element: LocatedElement,
    severity: "error" | "warning" = "error",
  ): void {
    const message = `Part ${this.#name || this.id}, measure ${measure.number}: ${what}`;
    this.#told.problem({ severity, message, span: element.span });
  }

  finish(): Part {
    if (this.#measure) this.closeMeasure(this.#span.end);
    return {
      id: this.id,
      name: this.#name,
      instruments: this.#instruments,
      staves: this.#notes.reduce((most, note) => Math.max(most, note.staff), this.#staves),
      measures: this.#measures,
      notes: this.#notes,
      brackets: this.#brackets,
      words: this.#words,
      span: this.#span,
    };
  }
}

function divisionsText(position: Rational, divisions: Rational): string {
  const used = rational(position.n * divisions.n, position.d * divisions.d);
  return used.d === 1 ? String(used.n) : (used.n / used.d).toFixed(2);
}
