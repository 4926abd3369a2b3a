import { expect, test } from "vitest";
import { harpPreset } from "../../shared/harp/instruments.ts";
import { openTuning } from "../../shared/harp/tunings.ts";
import { analyse, type Settings } from "../../shared/service/analyse.ts";
import { hoverText } from "../../shared/service/hoverText.ts";
import { movesAt } from "../../shared/service/movesAt.ts";
import { noteView } from "../../shared/service/noteView.ts";
import { tinyScore } from "../support/tinyScore.ts";

const lever: Settings = { instrument: { harp: harpPreset("lever-34")!, open: openTuning("C")! } };
const pedal: Settings = { instrument: { harp: harpPreset("pedal-47")! } };
const music = "R: @60 F4/1 A4/1 F#4/1 A4/1 // L: C3 E3 r/2 B3 G3";

test("a lever: at the note that needs it, and at the left hand's note before which it is moved", () => {
  const analysis = analyse(tinyScore(music).text, lever);
  expect(movesAt(analysis, "right", 2)).toEqual([
    "For it the F4 lever goes up, before the left hand plays B3 in bar 1, beat 4.",
  ]);
  expect(movesAt(analysis, "left", 2)).toEqual([
    "Before it the left hand moves the F4 lever up, for F#4 in bar 1.",
  ]);
  expect(movesAt(analysis, "right", 0)).toEqual([]);
});

test("no time for it, or the left hand is done", () => {
  const busy = "R: @60 F4/1 A4/1 F#4/1 A4/1 // L: C3 E3 G3 C4 B3 G3 E3 C3";
  expect(movesAt(analyse(tinyScore(busy).text, lever), "right", 2)).toEqual([
    "For it the F4 lever goes up, and the left hand has no time for it; the right one has, if it reaches it.",
  ]);
  const over = "R: @60 F4/1 A4/1 F#4/1 A4/1 // L: C3 E3";
  expect(movesAt(analyse(tinyScore(over).text, lever), "right", 2)).toEqual([
    "For it the F4 lever goes up, once the left hand has played its last note.",
  ]);
});

test("a pedal goes with its foot, and is told when there is hardly time", () => {
  expect(movesAt(analyse(tinyScore("@60 F4/1 F#4/1").text, pedal), "right", 1)).toEqual([
    "For it the F pedal goes to sharp, right foot.",
  ]);
  expect(movesAt(analyse(tinyScore("@120 C4 C#4").text, pedal), "right", 1)).toEqual([
    "For it the C pedal goes to sharp, left foot, and there is hardly time for it.",
  ]);
});

test("the hover says it; without a harp nothing is said", () => {
  const { text } = tinyScore(music);
  const at = [...text.matchAll(/<pitch>/g)][2]!.index;
  expect(hoverText(noteView(analyse(text, lever), at)!, "plaintext")).toContain(
    "For it the F4 lever goes up",
  );
  expect(hoverText(noteView(analyse(text), at)!, "plaintext")).not.toContain("lever");
});
