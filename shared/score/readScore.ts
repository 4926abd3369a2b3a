import { child, childrenNamed, childText, type LocatedElement } from "../musicxml/element.ts";
import { ElementTree } from "../musicxml/elementTree.ts";
import { NoteReader } from "../musicxml/noteReader.ts";
import { type ScanHandler, scan, type TagAttributes } from "../musicxml/scan.ts";
import { scanPlain } from "../musicxml/scanPlain.ts";
import type { Problem } from "../text/problem.ts";
import type { Instrument, Jump, Part, ReadResult, Score, TempoMark } from "./model.ts";
import { PartReader } from "./partReader.ts";
import { add, compare, larger, type Rational, zero } from "./rational.ts";
import { settleTies } from "./ties.ts";

/**
 * Reads a MusicXML score, partwise or timewise.
 *
 * @param text the whole document, decoded.
 * @returns the score as far as it could be read, and the problems; never throws for a broken text.
 * Time and memory O(text.length).
 * Source: MusicXML 4.0, musicxml.xsd.
 */
export function readScore(text: string): ReadResult {
  const quick = new ScoreReader(text);
  if (scanPlain(text, quick)) return quick.finish(text, []);
  const reader = new ScoreReader(text);
  const malformed = scan(text, reader);
  return reader.finish(text, malformed);
}

const readInMeasure = new Set(["backup", "forward", "attributes", "direction", "barline", "sound"]);
const readOutside = new Set(["part-list", "movement-title", "work"]);
const mostProblems = 1000;

/** Sends each tag to what reads it: notes to the note reader, other elements of interest to a tree, the rest nowhere. */
class ScoreReader implements ScanHandler {
  readonly #problems: Problem[] = [];
  readonly #parts: PartReader[] = [];
  readonly #partsById = new Map<string, PartReader>();
  readonly #described = new Map<string, { name: string; instruments: Instrument[] }>();
  readonly #tempos: TempoMark[] = [];
  readonly #jumps: Jump[] = [];
  readonly #knownJumps = new Set<string>();
  readonly #note: NoteReader;
  readonly #tree: ElementTree;
  #inNote = false;
  /** How deep in an element that nobody reads; 0 outside. */
  #passedOver = 0;
  #layout: "partwise" | "timewise" | undefined;
  #root: string | undefined;
  #version = "";
  #title = "";
  #part: PartReader | undefined;
  #measure: { number: string; start: number } | undefined;
  #measureIndex = -1;

  constructor(text: string) {
    this.#note = new NoteReader(text);
    this.#tree = new ElementTree(text);
  }

  open(name: string, attributes: TagAttributes, start: number, contentStart: number): void {
    if (this.#inNote) this.#note.open(name, attributes, start, contentStart);
    else if (this.#tree.isOpen) this.#tree.open(name, attributes, start, contentStart);
    else if (this.#passedOver > 0) this.#passedOver += 1;
    else if (this.#part && this.#measure) this.#openInMeasure(name, attributes, start, contentStart);
    else if (readOutside.has(name) && this.#root !== undefined) {
      this.#tree.open(name, attributes, start, contentStart);
    } else this.#openOutside(name, attributes, start);
  }

  close(name: string, contentEnd: number, end: number): void {
    if (this.#inNote) {
      if (!this.#note.close(name, contentEnd, end)) return;
      this.#inNote = false;
      this.#part!.note(this.#note);
    } else if (this.#tree.isOpen) {
      const element = this.#tree.close(contentEnd, end);
      if (element) this.#element(element);
    } else if (this.#passedOver > 0) this.#passedOver -= 1;
    else if (name === "part") this.#closePart(end);
    else if (name === "measure") {
      this.#part?.closeMeasure(end);
      this.#measure = undefined;
    }
  }

  leaf(
    name: string,
    attributes: TagAttributes,
    start: number,
    contentStart: number,
    contentEnd: number,
    end: number,
  ): void {
    if (this.#inNote) this.#note.leaf(name, attributes, start, contentStart, contentEnd, end);
    else if (this.#passedOver === 0) {
      this.open(name, attributes, start, contentStart);
      this.close(name, contentEnd, end);
    }
  }

  #openInMeasure(name: string, attributes: TagAttributes, start: number, contentStart: number): void {
    if (name === "note") {
      this.#inNote = true;
      this.#note.begin(attributes, start, contentStart);
    } else if (readInMeasure.has(name)) this.#tree.open(name, attributes, start, contentStart);
    else this.#passedOver = 1;
  }

  #openOutside(name: string, attributes: TagAttributes, start: number): void {
    if (this.#root === undefined) {
      this.#root = name;
      if (name === "score-partwise") this.#layout = "partwise";
      else if (name === "score-timewise") this.#layout = "timewise";
      this.#version = attributes.get("version") ?? "1.0";
    } else if (!this.#layout) return;
    else if (name === "part") {
      const id = attributes.get("id") ?? "";
      this.#part = (this.#layout === "timewise" && this.#partsById.get(id)) || this.#newPart(id, start);
      if (this.#measure)
        this.#part.openMeasure(this.#measureIndex, this.#measure.number, this.#measure.start);
      else this.#measureIndex = -1;
    } else if (name === "measure") {
      this.#measureIndex += 1;
      this.#measure = { number: attributes.get("number") ?? "", start };
      this.#part?.openMeasure(this.#measureIndex, this.#measure.number, start);
    }
  }

  #closePart(end: number): void {
    if (this.#layout === "timewise") this.#part?.closeMeasure(end);
    this.#part?.end(end);
    this.#part = undefined;
  }

  #element(element: LocatedElement): void {
    if (this.#part && this.#measure) this.#part.element(element);
    else if (element.name === "part-list") this.#partList(element);
    else if (element.name === "movement-title") this.#title ||= element.text.trim();
    else if (element.name === "work") this.#title = childText(element, "work-title") || this.#title;
  }

  #newPart(id: string, start: number): PartReader {
    const described = this.#described.get(id);
    const part = new PartReader(id, described?.name ?? "", described?.instruments ?? [], start, {
      problem: (problem) => {
        if (this.#problems.length < mostProblems) this.#problems.push(problem);
      },
      tempo: (tempo) => this.#tempos.push(tempo),
      jump: (jump) => this.#jump(jump),
    });
    this.#parts.push(part);
    if (!this.#partsById.has(id)) this.#partsById.set(id, part);
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
      const display = child(part, "part-name-display");
      const displayed = display && childrenNamed(display, "display-text").map(({ text }) => text);
      this.#described.set(part.attributes.id ?? "", {
        name: inOneLine(childText(part, "part-name") || (displayed ?? []).join("")),
        instruments: childrenNamed(part, "score-instrument").map((instrument) => {
          const id = instrument.attributes.id ?? "";
          const program = programs.get(id);
          return {
            id,
            name: inOneLine(childText(instrument, "instrument-name") ?? ""),
            sound: childText(instrument, "instrument-sound") ?? "",
            midiProgram: program !== undefined && program > 0 ? program : undefined,
          };
        }),
      });
    }
  }

  finish(text: string, malformed: readonly Problem[]): ReadResult {
    const problems = [...malformed, ...this.#problems];
    if (!this.#layout) problems.push(...this.#notAScore(text, malformed.length > 0));
    const parts = this.#parts.map((part) => part.finish(text.length));
    const score: Score = {
      layout: this.#layout ?? "partwise",
      version: this.#version,
      title: this.#title,
      parts,
      measureStarts: measureStarts(parts),
      tempos: this.#tempos.sort((a, b) => a.measure - b.measure || compare(a.position, b.position)),
      jumps: this.#jumps.sort((a, b) => a.measure - b.measure),
      wellFormed: malformed.length === 0 && this.#layout !== undefined,
    };
    settleTies(score, parts);
    return { score, problems: problems.sort((a, b) => a.span.start - b.span.start) };
  }

  #notAScore(text: string, isMalformed: boolean): Problem[] {
    if (this.#root === undefined) {
      return [{ severity: "error", message: "No score was found in this text.", span: { start: 0, end: 0 } }];
    }
    if (isMalformed) return [];
    return [
      {
        severity: "error",
        message: `Not a MusicXML score: its root element is <${this.#root}>, not <score-partwise> or <score-timewise>. Export the score as MusicXML.`,
        span: { start: 0, end: Math.min(text.length, 1) },
      },
    ];
  }
}

/** Notation editors break long names into lines: in a sentence, and where one is typed to choose a part, it is one. */
function inOneLine(name: string): string {
  return name.trim().replace(/\s+/g, " ");
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
