import { expect, test } from "vitest";
import { readLines } from "../support/readLines.ts";
import { attributes, backup, chord, forward, note, scoreText } from "../support/scoreText.ts";

const grand = attributes({ divisions: 4, staves: 2, clefs: ["G", "F"] });
const right = (pitch: string, duration = 4) => note(pitch, { duration, staff: 1 });
const left = (pitch: string, duration = 4) => note(pitch, { duration, staff: 2, voice: "5" });

test("divisions may change anywhere, and are 1 where nothing says", () => {
  // LilyPond's MusicXML regression tests 03c and 03e: a missing <divisions> counts as 1.
  const { right: line, problems } = readLines(
    scoreText({
      measures: [
        note("C4") + note("D4") + attributes({ divisions: 2 }) + note("E4") + note("F4"),
        attributes({ divisions: 480 }) + note("G4", { duration: 240 }) + note("A4", { duration: 720 }),
      ],
    }),
  );
  expect(line).toBe("C4@0 D4@1 E4@2 F4@2.5 G4@3 A4@3.5");
  expect(problems).toEqual([]);
});

test("backup and forward move in time, chords stay where they are", () => {
  const { right: upper, left: lower } = readLines(
    scoreText({
      measures: [
        grand +
          chord(["C5", "E5"], { duration: 4, staff: 1 }) +
          right("D5") +
          backup(8) +
          forward(4) +
          left("C3"),
        right("E5", 8) + backup(8) + left("D3", 8),
      ],
    }),
  );
  expect(upper).toBe("C5+E5@0 D5@1 E5@2");
  expect(lower).toBe("C3@1 D3@2");
});

test("a backup that goes back too far stops at the measure's start, and that is a warning with a place", () => {
  const { left: lower, problems } = readLines(
    scoreText({ measures: [grand + right("C5", 8) + backup(40) + left("C3", 8)] }),
  );
  expect(lower).toBe("C3@0");
  expect(problems.map(({ severity, message }) => `${severity}: ${message}`)).toEqual([
    "warning: Part Harp, measure 1: <backup> goes back 40 divisions, only 8 were used. Check its <duration>.",
  ]);
});

test("a backup that rounding has made a little too long or too short means the measure's start", () => {
  for (const back of [1919, 1920, 1930]) {
    const { left: lower, problems } = readLines(
      scoreText({
        measures: [
          attributes({ divisions: 480, staves: 2 }) + right("C5", 1920) + backup(back) + left("C3", 1920),
        ],
      }),
    );
    expect(lower).toBe("C3@0");
    expect(problems).toEqual([]);
  }
});

test("rounded tuplets of two voices sound together", () => {
  const triplet = (durations: number[], pitches: string[], voice: string, staff: number) =>
    pitches.map((pitch, i) => note(pitch, { duration: durations[i]!, voice, staff })).join("");
  const {
    right: upper,
    left: lower,
    lines,
  } = readLines(
    scoreText({
      measures: [
        attributes({ divisions: 256, staves: 2 }) +
          triplet([85, 85, 86], ["C5", "D5", "E5"], "1", 1) +
          backup(256) +
          triplet([86, 85, 85], ["C4", "D4", "E4"], "2", 1) +
          backup(256) +
          triplet([85, 86, 85], ["C3", "D3", "E3"], "5", 2),
      ],
    }),
  );
  expect(lines[0]!.events.map(({ notes }) => notes.length)).toEqual([2, 2, 2]);
  expect(upper.replace(/[A-G+\d]+@/g, "")).toBe(lower.replace(/[A-G+\d]+@/g, ""));
});

test("what is really apart stays apart: a 64th note, five notes against six, one voice's own notes", () => {
  const sixteen = attributes({ divisions: 16 });
  const apart = readLines(
    scoreText({
      measures: [
        sixteen +
          note("C5", { duration: 16 }) +
          backup(16) +
          forward(1) +
          note("C4", { duration: 2, voice: "2" }),
      ],
    }),
  );
  expect(apart.right).toBe("C5@0 C4@0.063");
  const notes = (count: number, voice: string, octave: number) =>
    ["C", "D", "E", "F", "G", "A"]
      .slice(0, count)
      .map((step) => note(`${step}${octave}`, { duration: 60 / count, voice }))
      .join("");
  const five = readLines(
    scoreText({
      measures: [attributes({ divisions: 60 }) + notes(5, "1", 5) + backup(60) + notes(6, "2", 4)],
    }),
  );
  expect(five.lines[0]!.events).toHaveLength(10);
  const fast = readLines(
    scoreText({
      measures: [
        attributes({ divisions: 480 }) +
          note("C5", { duration: 4 }) +
          backup(0) +
          note("D5", { duration: 4 }),
      ],
    }),
  );
  expect(fast.lines[0]!.events).toHaveLength(2);
});

test("a pick-up is as long as its notes, and measures of several parts start together", () => {
  const { right: line } = readLines(
    scoreText(
      {
        name: "Flute",
        measures: [attributes({ divisions: 1 }) + note("C6", { duration: 1 }), note("D6", { duration: 4 })],
      },
      {
        name: "Harp",
        measures: [attributes({ divisions: 1 }) + note("r", { duration: 1 }), note("E4", { duration: 4 })],
      },
    ),
  );
  expect(line).toBe("E4@1");
});

test("cue notes, unprinted notes and notes without a head are left out", () => {
  const { right: line } = readLines(
    scoreText({
      measures: [
        attributes({ divisions: 1 }) +
          note("C4") +
          note("D4", { cue: true }) +
          note("E4", { attributes: 'print-object="no"' }) +
          note("F4", { notehead: "none" }) +
          note("G4", { notehead: "diamond" }),
      ],
    }),
  );
  expect(line).toBe("C4@0 G4@4");
});

test("lengths that are none are reported with their place and count as nothing", () => {
  const { right: line, problems } = readLines(
    scoreText({
      measures: [
        note("C4").replace(">1<", ">abc<") + note("D4").replace("<duration>1</duration>", "") + note("E4"),
      ],
    }),
  );
  expect(line).toBe("C4+D4+E4@0");
  expect(problems).toHaveLength(2);
  expect(problems[0]!.message).toContain('measure 1: <duration> of "abc" is not a length in this <note>');
});

test("numbers beyond all measure do no harm", () => {
  const giant = "9".repeat(400);
  const text = scoreText({
    measures: [
      attributes({ divisions: 1 }) +
        note("C4").replace("<duration>1<", `<duration>${giant}<`) +
        note("D4", { staff: 1 }).replace("<staff>1<", `<staff>${giant}<`) +
        `<backup><duration>${giant}</duration></backup>` +
        `<attributes><divisions>${giant}</divisions><staves>${giant}</staves></attributes>` +
        note("E4").replace("<octave>4<", `<octave>${giant}<`),
      `<attributes><divisions>0.000000001</divisions></attributes>${note("F4", { duration: 999999999999 })}`,
      note("G4"),
    ],
  });
  const { lines } = readLines(text);
  expect(lines.flatMap(({ events }) => events).every(({ atMicros }) => Number.isFinite(atMicros))).toBe(true);
});
