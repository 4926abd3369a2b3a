import { expect, test } from "vitest";
import { handNamed } from "../../shared/score/handWords.ts";
import { readLines } from "../support/readLines.ts";
import { attributes, backup, chord, note, scoreText, words } from "../support/scoreText.ts";

const grand = attributes({ divisions: 2, staves: 2, clefs: ["G", "F"] });
const upper = (pitch: string, duration = 2) => note(pitch, { duration, staff: 1 });

test("words name a hand in the languages of harp music", () => {
  // Handbook pairs: r.h./l.h., m.d./m.g. (French), m.d./m.s. (Italian). The rest: common practice, no source.
  const right = [
    "r.h.",
    "R.H.",
    "RH",
    "(r. h.)",
    "m.d.",
    "M.D.",
    "md",
    "main droite",
    "Rechte Hand",
    "mano destra",
    "mano derecha",
    "right hand",
    "llaw dde",
    "d.",
  ];
  const left = [
    "l.h.",
    "L.H.",
    "[lh]",
    "m.g.",
    "m. g.",
    "MG",
    "m.s.",
    "main gauche",
    "linke Hand",
    "mano sinistra",
    "mano izquierda",
    "left hand",
    "s.",
    "g.",
    "l.h. ",
  ];
  for (const text of right) expect(handNamed(text), text).toBe("right");
  for (const text of left) expect(handNamed(text), text).toBe("left");
  for (const text of [
    "m.v.",
    "mp",
    "rit.",
    "left alone",
    "the right hand leads",
    "md rit.",
    "D",
    "G",
    "sim.",
  ]) {
    expect(handNamed(text), text).toBeUndefined();
  }
});

test("words give the notes of their voice to a hand until the other is named", () => {
  const { right, left, assumptions } = readLines(
    scoreText({
      measures: [
        grand + upper("C5") + words("l.h.", { staff: 1, placement: "below" }) + upper("D4") + upper("E4"),
        words("r.h.", { staff: 1 }) + upper("F5") + upper("G5"),
      ],
    }),
  );
  expect(right).toBe("C5@0 F5@3 G5@4");
  expect(left).toBe("D4@1 E4@2");
  expect(assumptions).toEqual(['"l.h." in measure 1 gives notes of staff 1 to the left hand (measures 1).']);
});

test("words do nothing where they are not to be followed", () => {
  const text = scoreText({
    measures: [grand + upper("C5") + words("l.h.", { staff: 1 }) + upper("D4") + upper("E4")],
  });
  expect(readLines(text, undefined, { marks: "ignore" })).toMatchObject({
    right: "C5@0 D4@1 E4@2",
    left: "",
    assumptions: [],
  });
  expect(readLines(text, undefined, { marks: "follow" }).left).toBe("D4@1 E4@2");
});

test("a rest of the voice ends what the words say", () => {
  const { right, left } = readLines(
    scoreText({
      measures: [grand + words("m.g.", { staff: 1 }) + upper("D4") + upper("r") + upper("E5")],
    }),
  );
  expect([right, left]).toEqual(["E5@2", "D4@0"]);
});

test("of two voices the words mean their own, or the one on their side", () => {
  const two = (options: object) =>
    readLines(
      scoreText({
        measures: [
          grand +
            words("m.s.", { staff: 1, ...options }) +
            note("E5", { duration: 4, staff: 1, voice: "1" }) +
            backup(4) +
            note("C4", { duration: 4, staff: 1, voice: "2" }),
        ],
      }),
    ).left;
  expect(two({ voice: "2" })).toBe("C4@0");
  expect(two({ placement: "below" })).toBe("C4@0");
  expect(two({ placement: "above" })).toBe("E5@0");
});

test("words that name the staff's own hand change nothing", () => {
  const { assumptions } = readLines(
    scoreText({ measures: [grand + words("r.h.", { staff: 1 }) + upper("C5") + upper("D5")] }),
  );
  expect(assumptions).toEqual([]);
});

/** A left-hand voice that climbs into the upper staff. */
const climbing = (own: string) =>
  scoreText({
    measures: [
      grand +
        own +
        ["C3", "G3"].map((pitch) => note(pitch, { duration: 2, staff: 2, voice: "5" })).join("") +
        ["C4", "E4"].map((pitch) => note(pitch, { duration: 2, staff: 1, voice: "5" })).join(""),
      note("C5", { duration: 8, staff: 1, voice: "1" }) +
        backup(8) +
        ["C3", "G3", "E3", "G3"].map((pitch) => note(pitch, { duration: 2, staff: 2, voice: "5" })).join(""),
    ],
  });

test("a voice that crosses to the other staff is that staff's hand's, where that hand is free", () => {
  const { right, left, assumptions } = readLines(climbing(""));
  expect(right).toBe("C4@2 E4@3 C5@4");
  expect(left).toBe("C3@0 G3@1 C3@4 G3@5 E3@6 G3@7");
  expect(assumptions).toEqual([]);
});

test("beside other notes of that staff it stays with its own hand, and that is said", () => {
  const { right, left, assumptions } = readLines(
    climbing(note("E5", { duration: 8, staff: 1, voice: "1" }) + backup(8)),
  );
  expect(right).toBe("E5@0 C5@4");
  expect(left).toBe("C3@0 G3@1 C4@2 E4@3 C3@4 G3@5 E3@6 G3@7");
  expect(assumptions).toEqual([
    "Where a voice crosses the staves beside other notes, its notes stay with its own hand (measures 1).",
  ]);
});

test("settings decide whose a crossing voice is", () => {
  const own = note("E5", { duration: 8, staff: 1, voice: "1" }) + backup(8);
  expect(readLines(climbing(own), undefined, { crossStaff: "staff" }).right).toBe("E5@0 C4@2 E4@3 C5@4");
  expect(readLines(climbing(""), undefined, { crossStaff: "voice" }).right).toBe("C5@4");
});

test("a chord over both staves is divided by them", () => {
  const { right, left } = readLines(
    scoreText({
      measures: [
        grand +
          note("C3", { staff: 2 }) +
          note("G4", { staff: 1, chord: true }) +
          chord(["E5", "G5"], { staff: 1 }),
      ],
    }),
  );
  expect(right).toBe("G4@0 E5+G5@0.5");
  expect(left).toBe("C3@0");
});
