import { child, childrenNamed, childText, type LocatedElement } from "../musicxml/element.ts";
import type { BracketEnd, Jump, Letter, Measure, Muffling, PedalDiagram, Words } from "./model.ts";
import { add, divide, parseDecimal, type Rational } from "./rational.ts";

/** Where a direction stands. */
export interface DirectionPlace {
  readonly measure: Measure;
  readonly position: Rational;
  readonly notesBefore: number;
  readonly divisions: Rational;
}

/** Told of what a direction or a `<sound>` says. */
export interface DirectionListener {
  bracket(end: BracketEnd): void;
  words(words: Words): void;
  tempo(quartersPerMinute: number, position: Rational): void;
  jump(jump: Jump): void;
  muffling(muffling: Muffling): void;
  pedals(diagram: PedalDiagram): void;
  /** From here on another of the part's instruments plays. */
  instrument(id: string, position: Rational): void;
}

/** Reads a `<direction>`. */
export function readDirection(
  element: LocatedElement,
  place: DirectionPlace,
  listener: DirectionListener,
): void {
  const { measure, notesBefore } = place;
  const offset = child(element, "offset");
  const shift = offset && parseDecimal(offset.text);
  const position = shift ? add(place.position, divide(shift, place.divisions)) : place.position;
  const staff = Number.parseInt(childText(element, "staff") ?? "1", 10) || 1;
  const voice = childText(element, "voice");
  const placement = readPlacement(element);
  const words: Words[] = [];
  const signs: LocatedElement[] = [];
  let metronome: number | undefined;
  for (const type of element.children) {
    if (type.name !== "direction-type") continue;
    for (const sign of type.children) {
      switch (sign.name) {
        case "words":
        case "rehearsal":
          words.push({
            text: sign.text.trim(),
            staff,
            voice,
            placement,
            measure,
            position,
            notesBefore,
            span: sign.span,
            rehearsal: sign.name === "rehearsal",
            framed: (sign.attributes.enclosure ?? "none") !== "none",
          });
          break;
        case "metronome":
          metronome ??= readMetronome(sign);
          break;
        case "damp":
        case "damp-all":
          listener.muffling({ measure, position, staff, all: sign.name === "damp-all" });
          break;
        case "harp-pedals":
          listener.pedals({ measure, position, pedals: readPedals(sign), span: sign.span });
          break;
        case "segno":
        case "coda":
          signs.push(sign);
          break;
      }
    }
  }
  const withWords = words.some(({ rehearsal }) => !rehearsal);
  for (const type of element.children) {
    if (type.name !== "direction-type") continue;
    for (const sign of type.children) {
      if (sign.name !== "bracket") continue;
      const { removal, removable } = removalOf(element, type);
      listener.bracket({
        type: bracketType(sign),
        number: Number.parseInt(sign.attributes.number ?? "1", 10) || 1,
        lineEnd: sign.attributes["line-end"] ?? "none",
        lineType: sign.attributes["line-type"] ?? "solid",
        placement,
        voice,
        staff,
        measure,
        position,
        notesBefore,
        withWords,
        span: sign.span,
        removal,
        removable,
      });
    }
  }
  for (const said of words) listener.words(said);
  const sound = child(element, "sound");
  const heard = sound ? readSound(sound, measure.index, position, listener) : nothingHeard;
  if (metronome !== undefined && !heard.tempo) listener.tempo(metronome, position);
  if (words.length > 0 || signs.length > 0) readJumps(words, signs, heard.jumps, measure.index, listener);
}

const nothingHeard = { jumps: [], tempo: false } as const;

/** Pedals without a letter or a whole alteration tell nothing. */
function readPedals(diagram: LocatedElement): PedalDiagram["pedals"] {
  const pedals = new Map<Letter, number>();
  for (const tuning of childrenNamed(diagram, "pedal-tuning")) {
    const letter = childText(tuning, "pedal-step") ?? "";
    const alter = Number(childText(tuning, "pedal-alter") ?? Number.NaN);
    if (/^[A-G]$/.test(letter) && [-1, 0, 1].includes(alter)) pedals.set(letter as Letter, alter);
  }
  return pedals;
}

/** The usual words and signs of jumps, where the direction does not say the same to a player program. */
function readJumps(
  words: readonly Words[],
  signs: readonly LocatedElement[],
  heard: readonly Jump[],
  measure: number,
  listener: DirectionListener,
): void {
  const said = heard.length > 0 ? heard : jumpsInWords(words, measure);
  if (heard.length === 0) for (const jump of said) listener.jump(jump);
  // A coda sign beside "To Coda" tells where to go, not where the coda is.
  const isToCoda = said.some(({ kind }) => kind === "to-coda");
  for (const { name, attributes } of signs) {
    if (isToCoda && name === "coda") continue;
    listener.jump({ kind: name as "segno" | "coda", measure, side: "start", label: attributes.id });
  }
}

/** What goes with a bracket, and whether it can go without anything else being lost. */
function removalOf(
  direction: LocatedElement,
  type: LocatedElement,
): Pick<BracketEnd, "removal" | "removable"> {
  let onlySaysWhere = true;
  let saysMore = false;
  for (const part of direction.children) {
    if (part === type || part.name === "offset" || part.name === "voice" || part.name === "staff") continue;
    onlySaysWhere = false;
    if (part.name === "direction-type" && !child(part, "bracket")) saysMore = true;
  }
  const removal = onlySaysWhere ? direction : type;
  return {
    removal: removal.span,
    removable: type.children.length === 1 && (onlySaysWhere || saysMore) && !removal.holdsRemark,
  };
}

/** Reads a `<sound>`, in a direction or by itself. @returns what it said about jumps, and whether it gave a tempo. */
export function readSound(
  element: LocatedElement,
  measure: number,
  position: Rational,
  listener: DirectionListener,
): { readonly jumps: readonly Jump[]; readonly tempo: boolean } {
  const quartersPerMinute = Number.parseFloat(element.attributes.tempo ?? "");
  const tempo = quartersPerMinute > 0 && Number.isFinite(quartersPerMinute);
  if (tempo) listener.tempo(quartersPerMinute, position);
  const jumps: Jump[] = [];
  for (const [name, kind, side] of soundJumps) {
    const value = element.attributes[name];
    if (value === undefined || value === "no") continue;
    const jump = { kind, measure, side, label: value };
    jumps.push(jump);
    listener.jump(jump);
  }
  const change = child(element, "instrument-change");
  const instrument = change && child(change, "score-instrument")?.attributes.id;
  if (instrument !== undefined) listener.instrument(instrument, position);
  return { jumps, tempo };
}

/** Source: MusicXML 4.0, element sound. */
const soundJumps: readonly (readonly [string, Jump["kind"], Jump["side"]])[] = [
  ["segno", "segno", "start"],
  ["coda", "coda", "start"],
  ["dacapo", "da-capo", "end"],
  ["dalsegno", "dal-segno", "end"],
  ["tocoda", "to-coda", "end"],
  ["fine", "fine", "end"],
];

/** The usual words, for scores that do not say the same to a player program. */
const jumpWords: readonly (readonly [RegExp, Jump["kind"], Jump["side"]])[] = [
  [/^(d\. ?c\.?|dc|da capo)( al (fine|coda|segno).*)?$/i, "da-capo", "end"],
  [/^(d\. ?s\.?|ds|dal segno)( al (fine|coda).*)?$/i, "dal-segno", "end"],
  [/^to coda$/i, "to-coda", "end"],
  [/^coda$/i, "coda", "start"],
  [/^fine$/i, "fine", "end"],
];

function jumpsInWords(words: readonly Words[], measure: number): Jump[] {
  return words.flatMap(({ text }) => {
    const plain = text.replace(/\s+/g, " ").slice(0, 60);
    const known = jumpWords.find(([pattern]) => pattern.test(plain));
    return known ? [{ kind: known[1], measure, side: known[2] }] : [];
  });
}

/** Reads a `<barline>`. */
export function readBarline(element: LocatedElement, measure: number): Jump[] {
  const jumps: Jump[] = [];
  const atStart = element.attributes.location === "left";
  const side = atStart ? "start" : "end";
  const repeat = child(element, "repeat");
  if (repeat?.attributes.direction === "forward") jumps.push({ kind: "repeat-start", measure, side });
  if (repeat?.attributes.direction === "backward") {
    const times = Number.parseInt(repeat.attributes.times ?? "2", 10);
    jumps.push({ kind: "repeat-end", measure, side, times: times >= 1 ? times : 2 });
  }
  const ending = child(element, "ending");
  if (ending) {
    const passes = (ending.attributes.number ?? "").match(/\d{1,4}/g)?.map(Number) ?? [];
    const kind = ending.attributes.type === "start" ? "ending-start" : "ending-stop";
    jumps.push({ kind, measure, side, passes });
  }
  if (child(element, "segno")) jumps.push({ kind: "segno", measure, side, label: element.attributes.segno });
  if (child(element, "coda")) jumps.push({ kind: "coda", measure, side, label: element.attributes.coda });
  return jumps;
}

function bracketType({ attributes: { type } }: LocatedElement): BracketEnd["type"] {
  return type === "stop" || type === "continue" ? type : "start";
}

function readPlacement(element: LocatedElement): "above" | "below" | undefined {
  const placement = element.attributes.placement;
  return placement === "above" || placement === "below" ? placement : undefined;
}

/** Quarter notes a minute of a `<metronome>` such as dotted quarter = 60; undefined for other equations. */
function readMetronome(element: LocatedElement): number | undefined {
  const perMinute = Number.parseFloat((childText(element, "per-minute") ?? "").replace(/^[^\d]*/, ""));
  const unit = childText(element, "beat-unit") ?? "";
  const quarters = quartersOf[unit];
  if (!quarters || !(perMinute > 0)) return undefined;
  const dots = childrenNamed(element, "beat-unit-dot").length;
  return perMinute * quarters * (2 - 0.5 ** dots);
}

/** Source: MusicXML 4.0, simpleType note-type-value. */
const quartersOf: Readonly<Record<string, number>> = {
  breve: 8,
  whole: 4,
  half: 2,
  quarter: 1,
  eighth: 0.5,
  "16th": 0.25,
  "32nd": 0.125,
  "64th": 0.0625,
};
