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
  const withWords = types.some((type) => child(type, "words") !== undefined);
  const brackets: BracketEnd[] = [];
  const words: Words[] = [];
  const jumps: Jump[] = [];
  let metronome: number | undefined;
  for (const type of types) {
    for (const sign of type.children) {
      switch (sign.name) {
        case "bracket": {
          const alone = element.children.every(
            (part) => part === type || ["offset", "voice", "staff"].includes(part.name),
          );
          brackets.push({
            ...readBracket(sign),
            placement,
            voice,
            staff,
            measure,
            position,
            notesBefore,
            withWords,
            span: sign.span,
            removal: type.children.length > 1 ? sign.span : alone ? element.span : type.span,
          });
          break;
        }
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
          });
          break;
        case "metronome":
          metronome ??= readMetronome(sign);
          break;
        case "segno":
        case "coda":
          jumps.push({ kind: sign.name, measure: measure.index, side: "start" });
          break;
      }
    }
  }
  const sound = child(element, "sound");
  const heard = sound ? readSound(sound, measure.index) : undefined;
  const quartersPerMinute = heard?.quartersPerMinute ?? metronome;
  return {
    brackets,
    words,
    tempo:
      quartersPerMinute === undefined ? undefined : { measure: measure.index, position, quartersPerMinute },
    jumps: [...jumps, ...(heard?.jumps ?? [])],
  };
}

/** Reads a `<sound>`, in a direction or by itself. */
export function readSound(
  element: LocatedElement,
  measure: number,
): { quartersPerMinute: number | undefined; jumps: Jump[] } {
  const tempo = Number.parseFloat(element.attributes.tempo ?? "");
  const jumps: Jump[] = [];
  const says = (name: string): boolean => {
    const value = element.attributes[name];
    return value !== undefined && value !== "no";
  };
  if (says("segno")) jumps.push({ kind: "segno", measure, side: "start" });
  if (says("coda")) jumps.push({ kind: "coda", measure, side: "start" });
  if (says("dacapo")) jumps.push({ kind: "da-capo", measure, side: "end" });
  if (says("dalsegno")) jumps.push({ kind: "dal-segno", measure, side: "end" });
  if (says("tocoda")) jumps.push({ kind: "to-coda", measure, side: "end" });
  if (says("fine")) jumps.push({ kind: "fine", measure, side: "end" });
  return { quartersPerMinute: tempo > 0 && Number.isFinite(tempo) ? tempo : undefined, jumps };
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
    jumps.push({ kind: "repeat-end", measure, side, times: times >= 0 ? times : 2 });
  }
  const ending = child(element, "ending");
  if (ending) {
    const passes = (ending.attributes.number ?? "").match(/\d+/g)?.map(Number) ?? [];
    const kind = ending.attributes.type === "start" ? "ending-start" : "ending-stop";
    jumps.push({ kind, measure, side, passes });
  }
  if (child(element, "segno")) jumps.push({ kind: "segno", measure, side });
  if (child(element, "coda")) jumps.push({ kind: "coda", measure, side });
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
