import { expect, test } from "vitest";
import { harpPreset } from "../../shared/harp/instruments.ts";
import { openTuning } from "../../shared/harp/tunings.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { measureLenses } from "../../shared/service/measureLenses.ts";
import { noteHints } from "../../shared/service/noteHints.ts";
import { passagePlaces } from "../../shared/service/passagePlaces.ts";
import { demoText } from "../support/demo.ts";
import { tinyScore } from "../support/tinyScore.ts";

test("a hint says bar, beat, hand, pitch and finger, after the note's start tag", () => {
  const { text } = tinyScore("R: C4:2 F#4_/1 F#4 // L: C3/2");
  const hints = noteHints(analyse(text), { start: 0, end: text.length });
  expect(hints.map(({ label }) => label)).toEqual([
    "bar 1, beat 1, right, C4, finger 2",
    "bar 1, beat 3/2, right, F#4, no finger",
    "bar 1, beat 5/2, right, F#4, held by a tie",
    "bar 1, beat 1, left, C3, no finger",
  ]);
  // Middle C is in the fourth octave. Source: morleyharps.co.uk, compass explained.
  expect(hints[0]!.tooltip).toBe("C string, 4th octave");
  for (const { offset } of hints) expect(text.slice(0, offset)).toMatch(/<note[^>]*>$/);
});

test("a note that needs a lever or a pedal to move says so, and who moves it when", () => {
  const hintsOf = (music: string, harp: string, tuning?: string) => {
    const { text } = tinyScore(music);
    const open = tuning === undefined ? {} : { open: openTuning(tuning)! };
    const analysis = analyse(text, { instrument: { harp: harpPreset(harp)!, ...open } });
    return noteHints(analysis, { start: 0, end: text.length });
  };
  const pedals = hintsOf("@60 F#4/2 Bb4/2 | F4/4", "pedal-47");
  expect(pedals.map(({ label }) => label)).toEqual([
    "bar 1, beat 1, right, F#4, no finger",
    "bar 1, beat 3, right, Bb4, no finger",
    "bar 2, beat 1, right, F4, no finger, F pedal to natural",
  ]);
  expect(pedals[2]!.tooltip).toBe("F string, 3rd octave. For it the F pedal goes to natural, right foot.");
  const levers = hintsOf("R: @60 F4/2 F#4/2 // L: C3/1 r/3 | C3/4", "lever-34", "C");
  expect(levers[1]!.label).toBe("bar 1, beat 3, right, F#4, no finger, F4 lever up");
  expect(levers[1]!.tooltip).toContain("before the left hand plays C3 in bar 2, beat 1");
});

test("only the notes that begin in the range have one", () => {
  const text = demoText("lantern-waltz");
  const analysis = analyse(text);
  const every = noteHints(analysis, { start: 0, end: text.length });
  const visible = { start: 40_000, end: 60_000 };
  const seen = noteHints(analysis, visible);
  const inside = [...text.slice(0, visible.end).matchAll(/<note[\s>]/g)].filter(
    ({ index }) => index >= visible.start,
  );
  expect(seen.length).toBeGreaterThan(10);
  expect(seen.length).toBeLessThanOrEqual(inside.length);
  expect(every).toEqual(expect.arrayContaining(seen));
  expect(seen).toHaveLength(
    every.filter(({ offset }) => offset > visible.start && offset <= visible.end + "<note>".length).length,
  );
});

test("lenses show the printed fingers of each hand, placings in brackets and chords joined", () => {
  const { text } = tinyScore("R: (C4:4 D4:3 E4:2 F4:1) C4:3+E4:2+G4:1/2 | G4/4 // L: C3:4+G3:1/4 | C3/4");
  const analysis = analyse(text);
  const lenses = measureLenses(analysis);
  expect(lenses.map(({ title }) => title)).toEqual(["right (4 3 2 1) 3+2+1 · left 4+1"]);
  expect(text.slice(lenses[0]!.span.start, lenses[0]!.span.end)).toMatch(/^<measure[^>]*number="1"[^>]*>$/);
});

test("a passage that comes back is told at each of its bars, and its places are found from any note of it", () => {
  const tune = "C4 E4 G4 C5 B4 G4 D4 F4 | A4 D5 C5 A4 F4 D4 E4 G4";
  const { text } = tinyScore(`${tune} | F5/1 E5/1 D5/2 | ${tune} | G5/4`);
  const analysis = analyse(text);
  const titles = measureLenses(analysis).map(({ title }) => title);
  expect(titles).toContain("passage A, right hand: also at bar 4");
  expect(titles).toContain("passage A, right hand: also at bar 1");
  expect(new Set(titles).size).toBe(titles.length);
  const starts = [...text.matchAll(/<note[\s>]/g)].map((match) => match.index);
  const note = 3;
  const places = passagePlaces(analysis, starts[note]! + 2);
  const told = places.map(({ span, isFirst, isHere }) => [span.start, isFirst, isHere]);
  expect(told[0]).toEqual([starts[note], true, true]);
  expect(told).toContainEqual([starts[16 + 3 + note], false, false]);
  expect(passagePlaces(analysis, starts[17]! + 2)).toEqual([]);
});
