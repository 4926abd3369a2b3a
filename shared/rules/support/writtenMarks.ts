import { type MarksFound, markEdits, marksOf } from "../../mechanism/markEdits.ts";
import { type MarkedChange, nameOfChange } from "../../mechanism/markedChanges.ts";
import { leverPosition, pedalPosition } from "../../mechanism/positions.ts";
import { isMechanismWords, settingPattern } from "../../musicxml/mechanismWords.ts";
import { letterOfSyllable, type MarkedSetting, type MechanismMark } from "../../score/mechanismMarks.ts";
import { harpOctave, indexOfLetter } from "../../score/pitch.ts";
import type { Edit } from "../../text/edits.ts";
import type { FixKind, RuleInput } from "../define.ts";

const known = new WeakMap<RuleInput, MarksFound>();

/** What a score says about its pedals or levers, beside what they have to do. */
export function marksIn(input: RuleInput): MarksFound {
  const found = known.get(input) ?? marksOf(input);
  known.set(input, found);
  return found;
}

/** `flat`, `natural`, `sharp`; of a lever `up` or `down`. */
export function positionWords({ instrument }: RuleInput, { string, to }: MarkedChange): string {
  return string === undefined ? pedalPosition(to) : leverPosition(instrument!, string, to);
}

/** `the F pedal`, `the F4 lever`. */
export function mechanismName(change: Pick<MarkedChange, "letter" | "string">): string {
  return `the ${nameOfChange(change)} ${change.string === undefined ? "pedal" : "lever"}`;
}

export const setAsNeeded: FixKind = {
  title: "Write what the next note needs",
  safety: "ask",
  permission: "mechanism marks changed",
};

/**
 * The edits that make a mark say what the next note of its pedal or lever needs, and tell of the change that it said
 * too early where that is made. Undefined where the mark says something else as well, or is not plainly written.
 */
export function setAsNeededEdits(
  input: RuleInput,
  mark: MechanismMark,
  setting: MarkedSetting,
  alter: number,
): (() => readonly Edit[]) | undefined {
  const sign = signEdit(input.text, mark, setting, alter);
  if (!sign || alter < -1 || alter > 1) return undefined;
  const letter = indexOfLetter(setting.letter);
  const isOfIt = (change: Pick<MarkedChange, "letter" | "string">): boolean =>
    change.letter === letter && (setting.string === undefined || change.string === setting.string);
  return () => {
    const { marks, changes } = marksIn(input);
    const told = changes.filter(({ early, isRight }) => !isRight && early?.mark === mark);
    if (told.length === 0 || marks.length === 0) return [sign];
    const wanted = told.find(isOfIt);
    const { edits } = markEdits(input, input.mechanismPrint, (change) =>
      Boolean(wanted && isOfIt(change) && change.early?.mark === mark),
    );
    return [sign, ...edits];
  };
}

const signs = ["♭", "♮", "♯"];

/** The one character, or number, that a mark has to have otherwise. */
function signEdit(
  text: string,
  mark: MechanismMark,
  setting: MarkedSetting,
  alter: number,
): Edit | undefined {
  const { start, end } = mark.span;
  const xml = text.slice(start, end);
  if (!isAlone(text, mark)) return undefined;
  if (mark.kind === "diagram") {
    const pattern = new RegExp(
      `<pedal-step>\\s*${setting.letter}\\s*</pedal-step>\\s*<pedal-alter>\\s*(-?\\d)`,
    );
    const found = pattern.exec(xml);
    if (!found) return undefined;
    const at = start + found.index + found[0].length - found[1]!.length;
    return { span: { start: at, end: at + found[1]!.length }, text: String(alter) };
  }
  const from = xml.indexOf(">") + 1;
  const words = xml.slice(from, xml.lastIndexOf("</"));
  if (!isMechanismWords(words)) return undefined;
  for (const found of words.matchAll(new RegExp(settingPattern, "giu"))) {
    const [whole, octave, name] = found;
    if ((octave !== undefined) !== (setting.string !== undefined) || !names(name!, setting)) continue;
    if (octave !== undefined && Number(octave) !== harpOctave(setting.string!)) continue;
    const at = start + from + found.index + whole.length - 1;
    return { span: { start: at, end: at + 1 }, text: signs[alter + 1]! };
  }
  return undefined;
}

function names(name: string, { letter }: MarkedSetting): boolean {
  return (letterOfSyllable[name.toLowerCase()] ?? name.toUpperCase()) === letter;
}

/** Nothing else stands in the direction that a mark is in: no tempo, no other words. */
function isAlone(text: string, { span }: MechanismMark): boolean {
  const before = text.slice(Math.max(0, span.start - 400), span.start);
  const after = text.slice(span.end, span.end + 400);
  return (
    /<direction(\s[^<>]*)?>\s*<direction-type>\s*$/.test(before) &&
    /^\s*<\/direction-type>\s*(<(offset|voice|staff)\b[^<>]*>[^<>]*<\/\2>\s*)*<\/direction>/.test(after)
  );
}
