import { describe, expect, test } from "vitest";
import { harpPreset } from "../../shared/harp/instruments.ts";
import { openTuning } from "../../shared/harp/tunings.ts";
import { guardedText } from "../../shared/musicxml/guard.ts";
import { pedalMarkAgainstNotes } from "../../shared/rules/pedalMarkAgainstNotes.ts";
import { pedalMarks } from "../../shared/score/pedalMarks.ts";
import { readScore } from "../../shared/score/readScore.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { checkRule } from "../support/checkRule.ts";
import { direction, note, scoreText } from "../support/scoreText.ts";
import { tinyScore } from "../support/tinyScore.ts";

/** What the marks of a score say: `F1 B-1`, by mark. */
function marksIn(text: string): string[] {
  return pedalMarks(readScore(text).score.parts[0]!).map(({ pedals }) =>
    [...pedals].map(([letter, alter]) => `${letter}${alter}`).join(" "),
  );
}

describe("what is written about pedals", () => {
  test.each([
    ["Mi ♮  Fa ♯  Si ♭", "E0 F1 B-1"],
    ["préparez ré ♯", "D1"],
    ["F# Bb", "F1 B-1"],
    ["(E♭)", "E-1"],
  ])("%s", (words, expected) => {
    expect(marksIn(tinyScore(`<${words}>C4`).text)).toEqual([expected]);
  });

  test.each(["Ab initio", "solo", "Re-entry", "a b", "3 1 la", "Fin", "Db major chord"])(
    "%s says nothing about them",
    (words) => {
      expect(marksIn(tinyScore(`<${words}>C4`).text)).toEqual([]);
    },
  );

  /** MusicXML 4.0, element harp-pedals. */
  test("a diagram", () => {
    const tuning = (step: string, alter: string): string =>
      `<pedal-tuning><pedal-step>${step}</pedal-step><pedal-alter>${alter}</pedal-alter></pedal-tuning>`;
    const diagram = `<harp-pedals>${tuning("D", "0")}${tuning("C", "1")}${tuning("B", "-1")}${tuning("H", "0")}</harp-pedals>`;
    const text = scoreText({ measures: [direction(diagram) + note("C4", { duration: 1 })] });
    expect(marksIn(text)).toEqual(["D0 C1 B-1"]);
  });
});

describe("pedal-mark-against-notes", () => {
  test("the next note of the letter is altered otherwise", () => {
    checkRule(pedalMarkAgainstNotes, "[<F ♯>]C4 F4", {
      severity: "warning",
      message:
        "The mark sets F to sharp, and the next F is F4 in bar 1: one of them is wrong, or a change is missing between.",
    });
  });

  test("it can be set to what the next note needs, in words and in a diagram", () => {
    checkRule(pedalMarkAgainstNotes, "[<F ♯>]C4 F4", { fixes: 1, fixed: "<F ♮>C4 F4" });
    checkRule(pedalMarkAgainstNotes, "[<Ré ♮ Fa ♯>]C4 D4 F4", { fixed: "<Ré ♮ Fa ♮>C4 D4 F4" });
    checkRule(pedalMarkAgainstNotes, "[<préparez fa ♯>]C4 F4", { fixes: 0 });
    const tuning = (step: string, alter: string): string =>
      `<pedal-tuning><pedal-step>${step}</pedal-step><pedal-alter>${alter}</pedal-alter></pedal-tuning>`;
    const signs = `<harp-pedals>${tuning("F", "1")}</harp-pedals> <!-- expect pedal-mark-against-notes -->`;
    const wrong = scoreText({ measures: [`${direction(signs)}${note("F4", { duration: 1 })}`] });
    const { text, findings } = analyse(wrong);
    const [found] = findings.filter(({ rule }) => rule === "pedal-mark-against-notes");
    // A comment in the direction would be in the way.
    expect(found!.fixes).toEqual([]);
    const plain = analyse(text.replace(/ <!-- .*? -->/, ""));
    const [fix] = plain.findings.find(({ rule }) => rule === "pedal-mark-against-notes")!.fixes;
    expect(guardedText(plain.text, fix!.edits(), fix!.permission)).toContain(tuning("F", "0"));
  });

  test("one that comes too early is set right, and the change is written where there is time", () => {
    checkRule(pedalMarkAgainstNotes, "@60 F4/1 [<F ♯>]F4/1 C4/1 F#4/1", {
      settings: { instrument: { harp: harpPreset("pedal-47")! } },
      fixed: "@60 F4/1 <F ♮>F4/1 <F♯>C4/1 F#4/1",
    });
  });

  test("quiet: the right position, a later mark, a lever harp, no such note", () => {
    checkRule(pedalMarkAgainstNotes, "<F ♯>C4 F#4 F#5");
    checkRule(pedalMarkAgainstNotes, "<F ♯>C4 <F ♮>F4");
    checkRule(pedalMarkAgainstNotes, "<F ♯>C4 D4");
    checkRule(pedalMarkAgainstNotes, "F4 <F ♯>C4 D4");
    checkRule(pedalMarkAgainstNotes, "<F ♯>C4 F4", {
      settings: { instrument: { harp: harpPreset("lever-34")!, open: openTuning("C")! } },
    });
  });
});
