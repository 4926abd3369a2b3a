import { expect, test } from "vitest";
import { analyse } from "../../shared/service/analyse.ts";
import { placingNotes } from "../../shared/service/placingNotes.ts";
import { tinyScore } from "../support/tinyScore.ts";

/** The pitches of what is marked when the cursor is on the n-th note. */
function marked(notation: string, n: number): string[] {
  const { text } = tinyScore(notation);
  const analysis = analyse(text);
  const starts = [...text.matchAll(/<note[\s>]/g)].map((match) => match.index);
  return placingNotes(analysis, starts[n]! + 1).map(({ note }) => {
    const element = text.slice(note.start, note.end);
    return `${/<step>(\w)/.exec(element)![1]}${/<octave>(\d)/.exec(element)![1]}`;
  });
}

test("the notes of a printed placing are marked, those of both where two share a note", () => {
  expect(marked("(C4:3 D4:2 E4:1) G4:1 A4:1", 1)).toEqual(["C4", "D4", "E4"]);
  expect(marked("(C4:3 D4:2 (E4:1) D4:2 C4:3) G4:1", 2)).toEqual(["C4", "D4", "E4", "D4", "C4"]);
  expect(marked("(C4:3 D4:2 E4:1) G4:1 A4:1", 3)).toEqual(["G4"]);
});

test("where nothing is printed it is the placing that would be", () => {
  expect(marked("C4 D4 E4 F4", 2)).toEqual(["C4", "D4", "E4", "F4"]);
});

test("a printed finger is marked, else the note's start tag; nothing beside the music", () => {
  const { text } = tinyScore("(C4:3 D4 E4:1)");
  const analysis = analyse(text);
  const spans = placingNotes(analysis, text.indexOf("<note") + 1).map(({ span }) =>
    text.slice(span.start, span.end),
  );
  expect(spans).toEqual([
    expect.stringMatching(/^<fingering.*>3</),
    "<note>",
    expect.stringMatching(/^<fingering.*>1</),
  ]);
  expect(placingNotes(analysis, 3)).toEqual([]);
});
