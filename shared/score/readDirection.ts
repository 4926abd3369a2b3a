import { child, childrenNamed, childText, type LocatedElement } from "../musicxml/element.ts";
import type { BracketEnd, Jump, Measure, TempoMark, Words } from "./model.ts";
import { add, divide, parseDecimal, type Rational } from "./rational.ts";

/** Where a direction stands. */
export interface DirectionPlace {
  readonly measure: Measure;
  readonly position: Rational;
  readonly notesBefore: number;
  readonly divisions: Rational;
}

export interface DirectionContent {
  readonly brackets: readonly BracketEnd[];
  readonly words: readonly Words[];
  readonly tempo: TempoMark | undefined;
  readonly jumps: readonly Jump[];
  /** Id of the instrument that plays from here on. */
  readonly instrument: string | undefined;
}

/** What a `<sound>` says. */
export interface SoundContent {
  readonly quartersPerMinute: number | undefined;
  readonly jumps: readonly Jump[];
  /** Id of the instrument that plays from here on. */
  readonly instrument: string | undefined;
}

/** Reads a `<direction>`. */
export function readDirection(element: LocatedElement, place: DirectionPlace): DirectionContent {
  const { measure, notesBefore } = place;
  const offset = parseDecimal(childText(element, "offset"));
  const position = offset ? add(place.position, divide(offset, place.divisions)) : place.position;
  const staff = Number.parseInt(childText(element, "staff") ?? "1", 10) || 1;
  const voice = childText(element, "voice");
  const placement = readPlacement(element);
  const types = childrenNamed(element, "direction-type");
  const where = { staff, voice, placement, measure, position, notesBefore };
  const withWords = types.some((type) => child(type, "words") !== undefined);
  const brackets: BracketEnd[] = [];
  const words: Words[] = [];
  const signs: Jump[] = [];
  let metronome: number | undefined;
  for (const type of types) {
    for (const sign of type.children) {
      switch (sign.name) {
        case "bracket":
          brackets.push({
            ...readBracket(sign),
            ...where,
            withWords,
            span: sign.span,
            ...removalOf(element, type, types),
          });
          break;
        case "words":
        case "rehearsal":
          words.push({
            text: sign.text.trim(),
            ...where,
            span: sign.span,
            rehearsal: sign.name === "rehearsal",
            framed: (sign.attributes.enclosure ?? "none") !== "none",
          });
          break;
        case "metronome":
          metronome ??= readMetronome(sign);
          break;
        case "segno":
        case "coda":
          signs.push({ kind: sign.name, measure: measure.index, side: "start", label: sign.attributes.id });
          break;
      }
    }
  }
  const sound = child(element, "sound");
  const heard = sound ? readSound(sound, measure.index) : undefined;
  const said = heard && heard.jumps.length > 0 ? heard.jumps : jumpsInWords(words, measure.index);
  // A coda sign beside "To Coda" tells where to go, not where the coda is.
  const isToCoda = said.some(({ kind }) => kind === "to-coda");
  const quartersPerMinute = heard?.quartersPerMinute ?? metronome;
  return {
    brackets,
    words,
    tempo:
      quartersPerMinute === undefined ? undefined : { measure: measure.index, position, quartersPerMinute },
    jumps: [...said, ...signs.filter(({ kind }) => !(isToCoda && kind === "coda"))],
    instrument: heard?.instrument,
  };
}

/** What goes with a bracket, and whether it can go without anything else being lost. */
function removalOf(
  direction: LocatedElement,
  type: LocatedElement,
  types: readonly LocatedElement[],
): Pick<BracketEnd, "removal" | "removable"> {
  const onlySaysWhere = direction.children.every(
    (part) => part === type || ["offset", "voice", "staff"].includes(part.name),
  );
  const removal = onlySaysWhere ? direction : type;
  const saysMore = onlySaysWhere || types.some((other) => other !== type && !child(other, "bracket"));
  return {
    removal: removal.span,
    removable: type.children.length === 1 && saysMore && !removal.holdsRemark,
  };
}

/** Reads a `<sound>`, in a direction or by itself. */
export function readSound(element: LocatedElement, measure: number): SoundContent {
  const tempo = Number.parseFloat(element.attributes.tempo ?? "");
  const jumps: Jump[] = [];
  const says = (name: string, kind: Jump["kind"], side: Jump["side"]): void => {
    const value = element.attributes[name];
    if (value !== undefined && value !== "no") jumps.push({ kind, measure, side, label: value });
  };
  says("segno", "segno", "start");
  says("coda", "coda", "start");
  says("dacapo", "da-capo", "end");
  says("dalsegno", "dal-segno", "end");
  says("tocoda", "to-coda", "end");
  says("fine", "fine", "end");
  const change = child(element, "instrument-change");
  return {
    quartersPerMinute: tempo > 0 && Number.isFinite(tempo) ? tempo : undefined,
    jumps,
    instrument: change && child(change, "score-instrument")?.attributes.id,
  };
}

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

function readBracket(element: LocatedElement): Pick<BracketEnd, "type" | "number" | "lineEnd" | "lineType"> {
  const { type, number, "line-end": lineEnd, "line-type": lineType } = element.attributes;
  return {
    type: type === "stop" || type === "continue" ? type : "start",
    number: Number.parseInt(number ?? "1", 10) || 1,
    lineEnd: lineEnd ?? "none",
    lineType: lineType ?? "solid",
  };
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
