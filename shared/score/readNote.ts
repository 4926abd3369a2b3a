import { child, childText, type LocatedElement } from "../musicxml/element.ts";
import { noteSite } from "../musicxml/noteSite.ts";
import type { Letter, Measure, Note, NoteMarks, Pitch, WrittenFingering } from "./model.ts";
import { stringOf } from "./pitch.ts";
import type { Rational } from "./rational.ts";

/** A note whose distance to its main note is filled in when that is known. */
export type NoteInProgress = Note & {
  grace: { readonly stealsFollowing: boolean; untilMain: number } | undefined;
};

/** Where a note stands in time and among its part's notes. */
export interface NotePlace {
  readonly index: number;
  readonly measure: Measure;
  readonly position: Rational;
  readonly duration: Rational;
}

/** Reads a `<note>`; undefined when it has no pitch (a rest, a drum) or its pitch cannot be read. */
export function readNote(element: LocatedElement, place: NotePlace): NoteInProgress | undefined {
  let pitch: Pitch | undefined;
  let voice = "1";
  let staff = 1;
  let grace: NoteInProgress["grace"];
  let chord = false;
  let cue = false;
  const tie = { start: false, stop: false, letRing: false };
  const marks: { -readonly [K in keyof NoteMarks]: NoteMarks[K] } = {};
  for (const part of element.children) {
    switch (part.name) {
      case "pitch":
        pitch = readPitch(part);
        break;
      case "voice":
        voice = part.text.trim();
        break;
      case "staff":
        staff = Number.parseInt(part.text, 10) || 1;
        break;
      case "grace":
        grace = { stealsFollowing: part.attributes["steal-time-following"] !== undefined, untilMain: 1 };
        break;
      case "chord":
        chord = true;
        break;
      case "cue":
        cue = true;
        break;
      case "tie":
        readTie(part, tie);
        break;
      case "notations":
        for (const notation of part.children) readNotation(notation, tie, marks);
        break;
    }
  }
  if (!pitch) return undefined;
  const site = noteSite(element);
  return {
    ...place,
    pitch,
    string: stringOf(pitch),
    voice,
    staff,
    chord,
    grace,
    tie,
    cue,
    printed: element.attributes["print-object"] !== "no",
    fingerings: site.notations.length === 0 ? [] : readFingerings(site),
    marks,
    site,
  };
}

const letters = new Set(["A", "B", "C", "D", "E", "F", "G"]);

function readPitch(element: LocatedElement): Pitch | undefined {
  const letter = childText(element, "step") ?? "";
  const octave = Number.parseInt(childText(element, "octave") ?? "", 10);
  const alter = Number.parseFloat(childText(element, "alter") ?? "0");
  if (!letters.has(letter) || !Number.isInteger(octave) || octave < 0 || octave > 9) return undefined;
  return { letter: letter as Letter, alter: Number.isFinite(alter) ? alter : 0, octave };
}

function readTie(element: LocatedElement, tie: { start: boolean; stop: boolean; letRing: boolean }): void {
  if (element.attributes.type === "start") tie.start = true;
  else if (element.attributes.type === "stop") tie.stop = true;
  else if (element.attributes.type === "let-ring") tie.letRing = true;
  else if (element.attributes.type === "continue") tie.start = tie.stop = true;
}

function readNotation(
  element: LocatedElement,
  tie: { start: boolean; stop: boolean; letRing: boolean },
  marks: { -readonly [K in keyof NoteMarks]: NoteMarks[K] },
): void {
  switch (element.name) {
    case "tied":
      readTie(element, tie);
      break;
    case "arpeggiate": {
      const direction = element.attributes.direction;
      marks.arpeggio = direction === "up" || direction === "down" ? direction : "plain";
      break;
    }
    case "non-arpeggiate":
      marks.nonArpeggio = true;
      break;
    case "fermata":
      marks.fermata = true;
      break;
    case "glissando":
    case "slide":
      if (element.attributes.type === "start") marks.slideStart = true;
      else marks.slideStop = true;
      break;
    case "technical":
      if (child(element, "harmonic")) marks.harmonic = true;
      break;
    case "ornaments":
      if (child(element, "tremolo")) marks.tremolo = true;
      if (child(element, "trill-mark")) marks.trill = true;
      break;
    case "articulations":
      if (child(element, "staccato")) marks.staccato = true;
      break;
  }
}

function readFingerings(site: Note["site"]): WrittenFingering[] {
  return site.notations.flatMap((notations) =>
    notations.technical.flatMap((technical) =>
      technical.fingerings.map((fingering) => ({
        text: fingering.text,
        number: /^\d{1,2}$/.test(fingering.text) ? Number(fingering.text) : undefined,
        substitution: fingering.substitution,
        alternate: fingering.alternate,
        span: fingering.span,
        content: fingering.content,
      })),
    ),
  );
}
