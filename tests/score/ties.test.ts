import { expect, test } from "vitest";
import { readLines } from "../support/readLines.ts";
import { attributes, backup, chord, note, scoreText } from "../support/scoreText.ts";

const grand = attributes({ divisions: 2, staves: 2, clefs: ["G", "F"] });

test("a tied note is plucked once", () => {
  const { right } = readLines(
    scoreText({
      measures: [
        note("C4", { tie: "start" }) + note("C4", { tie: "both" }) + note("C4", { tie: "stop" }) + note("C4"),
      ],
    }),
  );
  expect(right).toBe("C4@0 C4@3");
});

test("tied in the notation only counts as well; a chord is tied note by note", () => {
  const tied = (type: string) => ({ notations: `<tied type="${type}"/>` });
  const { right } = readLines(
    scoreText({
      measures: [
        note("C4", tied("start")) +
          note("E4", { chord: true }) +
          note("C4", tied("stop")) +
          note("E4", { chord: true }),
      ],
    }),
  );
  expect(right).toBe("C4+E4@0 E4@1");
});

test("let-ring is no tie to anything", () => {
  const ring = { notations: '<tied type="let-ring"/>' };
  expect(readLines(scoreText({ measures: [note("C4", ring) + note("C4")] })).right).toBe("C4@0 C4@1");
});

test("a tie may end in another voice, on another staff, and before its start in the document", () => {
  const { right, left, assumptions } = readLines(
    scoreText({
      measures: [
        grand +
          note("C4", { duration: 4, voice: "1", staff: 1, tie: "start" }) +
          backup(4) +
          note("E4", { duration: 2, voice: "2", staff: 1 }) +
          note("E4", { duration: 2, voice: "2", staff: 1, tie: "start" }),
        note("E4", { duration: 4, voice: "1", staff: 1, tie: "stop" }) +
          backup(4) +
          note("C4", { duration: 4, voice: "5", staff: 2, tie: "stop" }),
        // The second half of the bar stands first in the document.
        `<forward><duration>2</duration></forward>` +
          note("G4", { duration: 2, voice: "1", staff: 1, tie: "stop" }) +
          backup(4) +
          note("G4", { duration: 2, voice: "2", staff: 1, tie: "start" }),
      ],
    }),
  );
  expect(right).toBe("C4+E4@0 E4@1 G4@4");
  expect(left).toBe("");
  expect(assumptions).toEqual([]);
});

test("the notes of a written-out arpeggio are tied into its chord over the notes between", () => {
  // As in LilyPond's MusicXML regression test 33k, and in published harp music.
  const { right, assumptions } = readLines(
    scoreText({
      measures: [
        attributes({ divisions: 2 }) +
          note("C4", { tie: "start" }) +
          note("E4", { tie: "start" }) +
          note("G4", { tie: "start" }) +
          chord(["C4", "E4", "G4"], { duration: 5, tie: "stop" }),
      ],
    }),
  );
  expect(right).toBe("C4@0 E4@0.5 G4@1");
  expect(assumptions).toHaveLength(1);
});

test("a tie that begins nowhere plucks its note, and is said once", () => {
  const { right, assumptions } = readLines(
    scoreText({
      measures: [
        note("C4", { tie: "stop" }) + note("D4") + note("D4", { tie: "stop" }),
        note("E4", { tie: "stop" }),
      ],
    }),
  );
  expect(right).toBe("C4@0 D4@1 D4@2 E4@3");
  expect(assumptions[1]).toBe(
    "Ties that end on a note but begin nowhere are not followed: the note is plucked (measures 1, 2).",
  );
});

test("a tie into a second ending goes on from before the first", () => {
  const ending = (number: number, type: string, location: string, repeat = "") =>
    `<barline location="${location}"><ending number="${number}" type="${type}"/>${repeat}</barline>`;
  const { right } = readLines(
    scoreText({
      measures: [
        note("C4", { duration: 2 }) + note("G4", { duration: 2, tie: "start" }),
        ending(1, "start", "left") +
          note("G4", { duration: 4, tie: "stop" }) +
          ending(1, "stop", "right", '<repeat direction="backward"/>'),
        ending(2, "start", "left") +
          note("G4", { duration: 4, tie: "stop" }) +
          ending(2, "discontinue", "right"),
      ],
    }),
  );
  expect(right).toBe("C4@0 G4@2");
});

test("ties join enharmonic spellings", () => {
  expect(
    readLines(scoreText({ measures: [note("C#4", { tie: "start" }) + note("Db4", { tie: "stop" })] })).right,
  ).toBe("C#4@0");
});
