import { describe, expect, test } from "vitest";
import { harpPreset } from "../../shared/harp/instruments.ts";
import { openTuning } from "../../shared/harp/tunings.ts";
import { stringNotOnHarp } from "../../shared/rules/stringNotOnHarp.ts";
import { analyse, type Settings } from "../../shared/service/analyse.ts";
import { checkRule, findingsOf } from "../support/checkRule.ts";
import { tinyScore } from "../support/tinyScore.ts";

// The range, C2 to A6, is that of the 34-string lever harp of harp/instruments.ts, with its source.
const lever34: Settings = { instrument: { harp: harpPreset("lever-34")! } };
const tuned: Settings = { instrument: { harp: harpPreset("lever-34")!, open: openTuning("Eb")! } };

describe("string-not-on-harp", () => {
  test("a note beyond the strings of the chosen harp is reported once, however often it comes", () => {
    checkRule(stringNotOnHarp, "A6 [B6] A6 B6 B6", {
      settings: lever34,
      message:
        "B6 is above the highest string, A6, of the 34-string lever harp. An octave lower it has a string; a 36-string lever harp has it.",
    });
    checkRule(stringNotOnHarp, "L: C2 [B1] C2 B1", {
      settings: lever34,
      message: "B1 is below the lowest string, C2, of the 34-string lever harp.",
    });
    const [found] = findingsOf(analyse(tinyScore("A6 B6 A6 B6 B6").text, lever34), stringNotOnHarp);
    expect(found?.message).toContain("3 notes ask for it.");
    expect(found?.related).toHaveLength(2);
  });

  test("it names the smallest larger harp that has the note", () => {
    checkRule(stringNotOnHarp, "L: [A1]", { settings: lever34, message: "a 38-string lever harp has it." });
    checkRule(stringNotOnHarp, "L: [C1]", {
      settings: lever34,
      message: "a 47-string concert grand pedal harp has it.",
    });
  });

  test("the ends of the range are on the harp, and without a harp nothing is known", () => {
    checkRule(stringNotOnHarp, "R: A6 // L: C2", { settings: lever34 });
    checkRule(stringNotOnHarp, "R: B8 // L: C0");
  });

  test("a tie's continuation, a cue and a hidden note are not plucked", () => {
    checkRule(stringNotOnHarp, "R: B6!cue B6!hidden A6", { settings: lever34 });
  });

  test("a harmonic may be written where it sounds, an octave above its string", () => {
    checkRule(stringNotOnHarp, "C7!harmonic", { settings: lever34 });
    checkRule(stringNotOnHarp, "[C7]", { settings: lever34 });
    checkRule(stringNotOnHarp, "[B7!harmonic]", { settings: lever34 });
  });

  // MusicXML 4.0, octave-shift: pitch elements hold what sounds, the shift only changes where it is printed.
  test("an 8va sign changes the print and not the string", () => {
    const { text } = tinyScore("A6 A6");
    const shift =
      '<direction><direction-type><octave-shift type="down" size="8"/></direction-type></direction>\n      <note>';
    checkRule(stringNotOnHarp, text.replace("<note>", shift), { settings: lever34 });
  });

  test("just beyond the end a neighbour may sound the same", () => {
    checkRule(stringNotOnHarp, "L: B#1", { settings: tuned });
    checkRule(stringNotOnHarp, "L: [B1]", { settings: tuned });
  });
});
