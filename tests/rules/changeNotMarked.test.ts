import { describe, expect, test } from "vitest";
import { harpPreset } from "../../shared/harp/instruments.ts";
import { openTuning } from "../../shared/harp/tunings.ts";
import { changeNotMarked } from "../../shared/rules/changeNotMarked.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { applyEdits } from "../../shared/text/edits.ts";
import { checkRule } from "../support/checkRule.ts";
import { tinyScore } from "../support/tinyScore.ts";

const pedals = { instrument: { harp: harpPreset("pedal-47")! } };
const levers = { instrument: { harp: harpPreset("lever-34")!, open: openTuning("C")! } };

/** The words and the notes' letters of a score once the first finding's repair is made. */
function wordsAfter(music: string, settings: typeof pedals): string[] {
  const { text, findings } = analyse(tinyScore(music).text, settings);
  const [found] = findings.filter(({ rule }) => rule === "change-not-marked");
  const fixed = applyEdits(text, found!.fixes[0]!.edits());
  return [...fixed.matchAll(/<words>([^<]*)<|<step>(.)</g)].map(([, words, step]) => words ?? step!);
}

describe("change-not-marked", () => {
  test("a change that is missing among others is told at its note, and written where there is time", () => {
    const music = "F4/1 <F ♯>F#4/1 C4/1 [F4]/1";
    checkRule(changeNotMarked, "F4/1 <F ♯>F#4/1 C4/1 [F4/1]", {
      settings: pedals,
      fixes: 1,
      message: "The F pedal has to be natural for F4 in bar 1, and nothing is written about it.",
    });
    expect(wordsAfter(music.replace(/[[\]]/g, ""), pedals)).toEqual(["F", "F ♯", "F", "F♮", "C", "F"]);
  });

  test("one that is written only after its note is late", () => {
    checkRule(changeNotMarked, "F4/1 <F ♯>F#4/1 C4/1 [F4/1] | <F ♮>C4/1", {
      settings: pedals,
      message: "The F pedal has to be natural for F4 in bar 1, and that is written only in bar 2, after it.",
    });
  });

  test("levers too, string by string", () => {
    const music = "R: @60 F4/1 F5/1 <3F♯>F#4/1 r/1 | F#5/1 r/1 // L: r/4";
    checkRule(changeNotMarked, music.replace("F#5/1", "[F#5/1]"), {
      settings: levers,
      message: "The F5 lever has to be up for F#5 in bar 2, and nothing is written about it.",
    });
    expect(wordsAfter(music, levers)).toEqual(["F", "F", "3F♯", "2F♯", "F", "F"]);
  });

  test("quiet: all is written, nothing is, only the start is, marks here and there, no harp is named", () => {
    checkRule(changeNotMarked, "F4/1 <F ♯>F#4/1 C4/1 <F ♮>F4/1", { settings: pedals });
    checkRule(changeNotMarked, "F4/1 F#4/1 C4/1 F4/1", { settings: pedals });
    checkRule(changeNotMarked, "<F ♮>F4/1 F#4/1 C4/1 F4/1", { settings: pedals });
    checkRule(changeNotMarked, "F4/1 <F ♯>F#4/1 C4/1 F4/1 | C4/1 F#4/1 C4/1 F4/1", { settings: pedals });
    checkRule(changeNotMarked, "F4/1 <F ♯>F#4/1 C4/1 F4/1");
  });

  test("quiet: a mark that is wrong or too early is told at the mark", () => {
    checkRule(changeNotMarked, "F4/1 <F ♯>F#4/1 C4/1 <F ♭>F4/1", { settings: pedals });
    checkRule(changeNotMarked, "F4/1 <F ♯>F#4/1 <F ♮>F#4/1 F4/1", { settings: pedals });
  });
});
