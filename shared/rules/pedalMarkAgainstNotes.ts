import { pedalPosition } from "../mechanism/positions.ts";
import type { EventNote } from "../score/handLines.ts";
import type { Letter, Part } from "../score/model.ts";
import { type PedalMark, pedalMarks } from "../score/pedalMarks.ts";
import { compare } from "../score/rational.ts";
import { firstWhere } from "../text/firstWhere.ts";
import { defineRule, type RuleInput } from "./define.ts";
import { nameOf, startTagOf } from "./support/places.ts";
import { setAsNeeded, setAsNeededEdits } from "./support/writtenMarks.ts";

export const pedalMarkAgainstNotes = defineRule({
  id: "pedal-mark-against-notes",
  severity: "warning",
  summary: "A pedal mark says one position, and the next note of its letter needs another.",
  why: "The player sets the pedal as it is written and plays a wrong note. Either the mark is wrong, or another one is missing before the note.",
  bad: "<F ♯>C4 F4",
  good: "<F ♮>C4 F4",
  fixes: [setAsNeeded],
  check(input, report) {
    if (input.instrument?.harp.mechanism === "lever") return;
    for (const part of input.harp.parts) {
      const marks = pedalMarks(part);
      marks.forEach((mark, i) => {
        for (const [letter, alter] of mark.pedals) {
          const until = marks.slice(i + 1).find(({ pedals }) => pedals.has(letter));
          const found = firstNote(input, part, letter, mark, until);
          if (!found || Math.round(found.entry.note.pitch.alter) === alter) continue;
          const { entry, hand, event } = found;
          const needed = Math.round(entry.note.pitch.alter);
          const edits = setAsNeededEdits(input, mark, { letter, string: undefined, alter }, needed);
          report({
            span: mark.span,
            message: `The mark sets ${letter} to ${pedalPosition(alter)}, and the next ${letter} is ${nameOf(entry)} in bar ${entry.note.measure.number}: one of them is wrong, or a change is missing between.`,
            at: { hand, event },
            related: [
              { span: startTagOf(entry.note), message: `${nameOf(entry)} needs the pedal otherwise.` },
            ],
            fixes: edits ? [{ ...setAsNeeded, edits }] : [],
          });
        }
      });
    }
  },
});

/** The first note of a letter at or after a mark and before the next one that says something about it. */
function firstNote(
  { hands }: RuleInput,
  part: Part,
  letter: Letter,
  from: PedalMark,
  until: PedalMark | undefined,
) {
  const isBefore = (entry: EventNote, mark: PedalMark): boolean =>
    entry.note.measure.index < mark.measure.index ||
    (entry.note.measure.index === mark.measure.index && compare(entry.note.position, mark.position) < 0);
  let first: { entry: EventNote; hand: RuleInput["hands"][number]; event: number } | undefined;
  for (const hand of hands) {
    const { events } = hand.line;
    const start = firstWhere(events.length, (event) => !isBefore(events[event]!.notes[0]!, from));
    for (let event = start; event < events.length; event += 1) {
      const { notes, part: own, onset } = events[event]!;
      if (until && !isBefore(notes[0]!, until)) break;
      const entry = notes.find(({ note }) => note.pitch.letter === letter);
      if (!entry || own !== part) continue;
      if (!first || compare(onset, first.hand.line.events[first.event]!.onset) < 0)
        first = { entry, hand, event };
      break;
    }
  }
  return first;
}
