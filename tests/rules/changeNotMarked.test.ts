import { describe, expect, test } from "vitest";
import { harpPreset } from "../../shared/harp/instruments.ts";
import { openTuning } from "../../shared/harp/tunings.ts";
import { marksOf } from "../../shared/mechanism/markEdits.ts";
import { decodeScoreFile } from "../../shared/musicxml/scoreFile.ts";
import { changeNotMarked } from "../../shared/rules/changeNotMarked.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { applyEdits } from "../../shared/text/edits.ts";
import { checkRule, findingsOf } from "../support/checkRule.ts";
import { corpusFile, hasCorpus } from "../support/corpus.ts";
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

// The harp part of an orchestral score, with pedals in French words.
test.skipIf(!hasCorpus)(
  "a real part with three marks: reminders, so that none is missing (skipped without ../shared/corpus)",
  () => {
    const { text } = decodeScoreFile(corpusFile("hauptstimme/D_un_matin_de_printemps.mxl"));
    const analysis = analyse(text, pedals);
    const { marks, changes } = marksOf({ ...analysis, harp: analysis.harp! });
    expect(marks.map(({ mark }) => mark.settings.length)).toEqual([7, 2, 7]);
    expect(changes).toHaveLength(46);
    const right = changes.filter(({ isRight }) => isRight);
    expect(
      right.map(
        ({ letter, to, next }) => `${"CDEFGAB"[letter]} ${to} in bar ${next.entry.note.measure.number}`,
      ),
    ).toEqual(["D 0 in bar 176", "D 0 in bar 195", "G 0 in bar 195", "F 0 in bar 206"]);
    expect(findingsOf(analysis, changeNotMarked)).toEqual([]);
  },
);
