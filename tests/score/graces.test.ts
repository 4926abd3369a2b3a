import { expect, test } from "vitest";
import { readLines } from "../support/readLines.ts";
import { attributes, backup, note, scoreText, words } from "../support/scoreText.ts";

const grace = (pitch: string, attribute = "", options = {}) => note(pitch, { grace: attribute, ...options });

/** Onsets in sounding order, in milliseconds at the tempo that is assumed: 625 for a quarter note. */
function times(text: string): number[] {
  return readLines(text).lines[0]!.events.map(({ atMicros }) => Math.round(atMicros / 1000));
}

test("grace notes are plucked before their main note, in order; those of a chord together", () => {
  const text = scoreText({
    measures: [note("C4") + grace("D4") + grace("E4") + grace("G4", "", { chord: true }) + note("F4")],
  });
  const { right, lines } = readLines(text);
  expect(right).toBe("C4@0 D4@1 E4+G4@1 F4@1");
  expect(lines[0]!.events.map((event) => event.grace)).toEqual([false, true, true, false]);
  expect(times(text)).toEqual([0, 445, 535, 625]);
});

test("a grace note that takes its time from the note that follows begins on the beat", () => {
  const text = scoreText({
    measures: [
      note("C4") + grace("D4", 'steal-time-following="20"') + note("E4", { duration: 2 }) + note("F4"),
    ],
  });
  expect(times(text)).toEqual([0, 625, 715, 1875]);
});

test("grace notes after the last note of a measure come before the next one's own", () => {
  // LilyPond's MusicXML regression test 24d: after-grace notes at a measure's end.
  const text = scoreText({
    measures: [
      note("C4", { duration: 4 }) + grace("D4") + grace("E4"),
      grace("F4") + note("G4", { duration: 4 }),
    ],
  });
  expect(readLines(text).right).toBe("C4@0 D4@4 E4@4 F4@4 G4@4");
  const own = times(text);
  expect(own).toEqual([...own].sort((a, b) => a - b));
});

test("grace notes before a backup or a rest end the note before them", () => {
  const grand = attributes({ divisions: 1, staves: 2, clefs: ["G", "F"] });
  const text = scoreText({
    measures: [
      grand +
        note("C5", { duration: 2, staff: 1 }) +
        grace("D5", "", { staff: 1 }) +
        note("r", { duration: 2, staff: 1 }) +
        backup(4) +
        note("C3", { duration: 4, voice: "5", staff: 2 }) +
        grace("D3", "", { voice: "5", staff: 2 }),
      note("E5", { duration: 4, staff: 1 }) + backup(4) + note("E3", { duration: 4, voice: "5", staff: 2 }),
    ],
  });
  const { right, left } = readLines(text);
  expect(right).toBe("C5@0 D5@2 E5@4");
  expect(left).toBe("C3@0 D3@4 E3@4");
});

test("many grace notes share what time there is", () => {
  const many = Array.from({ length: 20 }, () => grace("D4")).join("");
  const own = times(scoreText({ measures: [note("C4") + many + note("E4")] }));
  expect(own[0]).toBe(0);
  expect(own.every((time, i) => i === 0 || time > own[i - 1]!)).toBe(true);
});

test("words among them change nothing", () => {
  expect(readLines(scoreText({ measures: [grace("D4") + words("dolce") + note("E4")] })).right).toBe(
    "D4@0 E4@0",
  );
});
