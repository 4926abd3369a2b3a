import { setFingering } from "../musicxml/fingeringEdits.ts";
import { removeTextFingering } from "../musicxml/textFingeringEdits.ts";
import { handOfNote } from "../score/hands.ts";
import type { Note, Part, ProbableFingering } from "../score/model.ts";
import type { Edit } from "../text/edits.ts";
import { defineRule, type RuleInput } from "./define.ts";
import { placeInHands } from "./support/piece.ts";
import { areFingers, fewestTextFingers } from "./support/textFingers.ts";

const convert = { title: "Make fingerings of these digits", safety: "ask" } as const;

export const fingersInText = defineRule({
  id: "fingers-in-text",
  severity: "info",
  summary: "Digits that look like fingers stand in words or lyrics and not in fingerings.",
  why: "Programs take words and lyrics for text: they do not move, transpose or check them as fingering, and neither does this one.",
  bad: "<1>E4 <2>D4 <3>C4 r",
  good: "E4:1 D4:2 C4:3 r",
  fixes: [convert],
  check(input, report) {
    for (const part of input.harp.parts) {
      const found = part.probableFingerings.filter((one) => isConvertible(input, part, one));
      const count = found.reduce((sum, { digits }) => sum + digits.length, 0);
      if (count < fewestTextFingers) continue;
      const [first, ...others] = found;
      report({
        span: first!.span,
        message: `${count} digits that look like fingers stand in ${sourcesOf(found)} and not in fingerings, so that they are not checked.`,
        at: placeInHands(input, first!.notes[0]!),
        related: others.map(({ span, text }) => ({ span, message: `${text} stands here.` })),
        fixes: [{ ...convert, edits: () => found.flatMap((one) => editsFor(input, part, one)) }],
      });
    }
  },
});

/** The digits are fingers of plucked notes that have none, and nothing else goes when they go. */
function isConvertible(input: RuleInput, part: Part, probable: ProbableFingering): boolean {
  const { notes, span } = probable;
  return (
    areFingers(probable) &&
    notes.every((note) => placeInHands(input, note) !== undefined) &&
    new Set(notes.map((note) => handOfNote(input.harp, part, note))).size === 1 &&
    removeTextFingering(input.text, span) !== undefined
  );
}

function sourcesOf(found: readonly ProbableFingering[]): string {
  const sources = new Set(found.map(({ source }) => source));
  return [...(sources.has("words") ? ["words"] : []), ...(sources.has("lyric") ? ["lyrics"] : [])].join(
    " and ",
  );
}

function editsFor({ text, harp }: RuleInput, part: Part, { digits, notes, span }: ProbableFingering): Edit[] {
  const placement = (note: Note): "above" | "below" =>
    handOfNote(harp, part, note) === "left" ? "below" : "above";
  const added = notes.flatMap(
    (note, i) => setFingering(text, note.site, String(digits[i]), placement(note)) ?? [],
  );
  return [...added, removeTextFingering(text, span)!];
}
