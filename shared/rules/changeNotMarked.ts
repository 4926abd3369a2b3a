import { harpPreset } from "../harp/instruments.ts";
import { markEdits } from "../mechanism/markEdits.ts";
import { inPrint, type MarkedChange } from "../mechanism/markedChanges.ts";
import { defineRule, type FixKind, type RuleInput } from "./define.ts";
import { capitalised, nameOf, placeOfNote } from "./support/places.ts";
import { marksIn, mechanismName, positionWords } from "./support/writtenMarks.ts";

const write: FixKind = {
  title: "Write the change where it is made",
  safety: "ask",
  permission: "mechanism marks added",
};

export const changeNotMarked = defineRule({
  id: "change-not-marked",
  severity: "warning",
  summary: "A pedal or lever has to be changed and nothing says so in time, where other changes are written.",
  why: "Where changes are written, the player moves what is written and nothing else. One that is missing, or comes after its note, is a wrong note in the first reading.",
  bad: "F4/1 <F ♯>F#4/1 C4/1 F4/1",
  good: "F4/1 <F ♯>F#4/1 C4/1 <F ♮>F4/1",
  given: { words: "on a 47-string concert grand pedal harp", instrument: { harp: harpPreset("pedal-47")! } },
  fixes: [write],
  check(input, report) {
    if (!input.levers && !input.pedals) return;
    const { changes, saysChanges } = marksIn(input);
    if (!saysChanges) return;
    const printed = inPrint(changes);
    // Marks here and there are reminders: then none is missing.
    const told = printed.filter(({ mark, early }) => mark || early).length;
    if (2 * told < printed.length) return;
    for (const change of printed) {
      // A mark that is wrong or too early is told at the mark.
      if (change.mark || change.early) continue;
      const { next, late } = change;
      report({
        span: placeOfNote(next.entry),
        message: messageOf(input, change),
        at: { hand: input.hands.find(({ hand }) => hand === next.hand)!, event: next.event },
        related: late ? [{ span: late.mark.span, message: "It is written only here." }] : [],
        fixes: [{ ...write, edits: () => editsFor(input, change) }],
      });
    }
  },
});

function messageOf(input: RuleInput, change: MarkedChange): string {
  const { entry } = change.next;
  const what = `${capitalised(mechanismName(change))} has to be ${positionWords(input, change)} for ${nameOf(entry)} in bar ${entry.note.measure.number}`;
  const { late } = change;
  return late
    ? `${what}, and that is written only in bar ${late.mark.measure.number}, after it.`
    : `${what}, and nothing is written about it.`;
}

function editsFor(input: RuleInput, { letter, string, to, next }: MarkedChange) {
  return markEdits(
    input,
    input.mechanismPrint,
    (other) =>
      other.letter === letter &&
      other.string === string &&
      other.to === to &&
      other.next.hand === next.hand &&
      other.next.event === next.event,
  ).edits;
}
