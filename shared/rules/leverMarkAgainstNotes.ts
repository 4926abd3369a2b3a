import { harpPreset } from "../harp/instruments.ts";
import { openTuning, stringsSounding } from "../harp/tunings.ts";
import { pedalPosition } from "../mechanism/positions.ts";
import type { EventNote } from "../score/handLines.ts";
import { type MarkedSetting, type MechanismMark, mechanismMarks } from "../score/mechanismMarks.ts";
import type { Part } from "../score/model.ts";
import { letterOf, stringName } from "../score/pitch.ts";
import { compare } from "../score/rational.ts";
import { firstWhere } from "../text/firstWhere.ts";
import { defineRule, type RuleInput } from "./define.ts";
import { nameOf, startTagOf } from "./support/places.ts";
import { setAsNeeded, setAsNeededEdits } from "./support/writtenMarks.ts";

export const leverMarkAgainstNotes = defineRule({
  id: "lever-mark-against-notes",
  severity: "warning",
  summary: "A lever mark says one thing, and the next note of its string needs another.",
  why: "The player sets the lever as it is written and plays a wrong note. Either the mark is wrong, or it comes too early, or another one is missing before the note.",
  bad: "R: @60 <3F♯>C4/1 F4/1 // L: r/2",
  good: "R: @60 <3F♮>C4/1 F4/1 // L: r/2",
  given: {
    words: "on a 34-string lever harp tuned in C major",
    instrument: { harp: harpPreset("lever-34")!, open: openTuning("C")! },
  },
  fixes: [setAsNeeded],
  check(input, report) {
    if (input.instrument?.harp.mechanism !== "lever" || !input.instrument.open) return;
    for (const part of input.harp.parts) {
      const marks = mechanismMarks(part).filter(({ kind }) => kind === "words");
      if (marks.length === 0) continue;
      const plucked = pluckedStrings(input, part);
      marks.forEach((mark, i) => {
        for (const setting of mark.settings) {
          const clash = firstClash(plucked, setting, mark, marks.slice(i + 1));
          if (!clash) continue;
          const { entry, hand, event, string, alter, others } = clash;
          // One sign cannot say two things of strings of one letter.
          const edits = others ? undefined : setAsNeededEdits(input, mark, setting, alter);
          report({
            span: mark.span,
            message: `The mark sets ${setting.string === undefined ? `the ${setting.letter} levers` : `the ${stringName(setting.string)} lever`} to ${pedalPosition(setting.alter)}, and ${nameOf(entry)} in bar ${entry.note.measure.number}, the next on ${stringName(string)}, needs ${pedalPosition(alter)}: one of them is wrong, or a change is missing between.`,
            at: { hand, event },
            related: [
              { span: startTagOf(entry.note), message: `${nameOf(entry)} needs the lever otherwise.` },
            ],
            fixes: edits ? [{ ...setAsNeeded, edits }] : [],
          });
        }
      });
    }
  },
});

/** A note on the string that it is played on. */
interface Plucked {
  readonly entry: EventNote;
  readonly hand: RuleInput["hands"][number];
  readonly event: number;
  readonly string: number;
  readonly alter: number;
}

/** The notes of a part by the string that they are played on, in the order of print. */
function pluckedStrings(
  { hands, instrument }: RuleInput,
  own: Part,
): ReadonlyMap<number, readonly Plucked[]> {
  const found = new Map<number, Plucked[]>();
  const played = new Map<string, ReturnType<typeof stringsSounding>[number] | undefined>();
  for (const hand of hands) {
    hand.line.events.forEach(({ notes, part }, event) => {
      if (part !== own) return;
      for (const entry of notes) {
        const written = { string: entry.string, alter: Math.round(entry.note.pitch.alter) };
        const key = `${written.string} ${written.alter}`;
        if (!played.has(key)) played.set(key, stringsSounding(instrument!, written)[0]);
        const on = played.get(key);
        if (!on) continue;
        const one = { entry, hand, event, ...on };
        const all = found.get(on.string);
        if (all) all.push(one);
        else found.set(on.string, [one]);
      }
    });
  }
  for (const all of found.values()) all.sort(inOrder);
  return found;
}

function inOrder(a: Plucked, b: Plucked): number {
  return (
    a.entry.note.measure.index - b.entry.note.measure.index ||
    compare(a.entry.note.position, b.entry.note.position) ||
    a.entry.note.site.span.start - b.entry.note.site.span.start
  );
}

/** The first note that a mark is wrong for, of those that come before another mark about its string. */
function firstClash(
  plucked: ReadonlyMap<number, readonly Plucked[]>,
  setting: MarkedSetting,
  mark: MechanismMark,
  later: readonly MechanismMark[],
): (Plucked & { readonly others: boolean }) | undefined {
  const clashes: Plucked[] = [];
  let agreeing = 0;
  for (const [string, notes] of plucked) {
    if (!isAbout(setting, string)) continue;
    if (setting.string === undefined && mark.settings.some((other) => other.string === string)) continue;
    const first = notes[firstWhere(notes.length, (k) => !isBefore(notes[k]!, mark))];
    const until = later.find(({ settings }) => settings.some((other) => isAbout(other, string)));
    if (!first || (until && !isBefore(first, until))) continue;
    if (first.alter === setting.alter) agreeing += 1;
    else clashes.push(first);
  }
  const [clash] = clashes.sort(inOrder);
  return clash && { ...clash, others: agreeing > 0 || clashes.some(({ alter }) => alter !== clash.alter) };
}

function isAbout(setting: MarkedSetting, string: number): boolean {
  return setting.string === undefined ? letterOf(string) === setting.letter : setting.string === string;
}

function isBefore({ entry: { note } }: Plucked, { measure, position }: MechanismMark): boolean {
  return (
    note.measure.index < measure.index ||
    (note.measure.index === measure.index && compare(note.position, position) < 0)
  );
}
