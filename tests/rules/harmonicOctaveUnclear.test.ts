import { describe, test } from "vitest";
import { harmonicOctaveUnclear } from "../../shared/rules/harmonicOctaveUnclear.ts";
import { checkRule } from "../support/checkRule.ts";
import { tinyScore } from "../support/tinyScore.ts";

describe("harmonic-octave-unclear", () => {
  test("harmonics that say nothing are asked about once in a piece", () => {
    checkRule(harmonicOctaveUnclear, "R: C4 [D4!harmonic] E4!harmonic // L: C3!harmonic", {
      message: "The piece has three harmonics and does not say whether they show the string or what sounds",
    });
    checkRule(harmonicOctaveUnclear, "C4 [D4!harmonic]", { message: "The piece has a harmonic" });
  });

  test("words at any place say it", () => {
    checkRule(harmonicOctaveUnclear, "<Harmonics sound one octave above>C4 D4!harmonic");
    checkRule(harmonicOctaveUnclear, "C4!harmonic <Flageolett: klingt eine Oktave höher>D4");
    checkRule(harmonicOctaveUnclear, "<sons réels>C4!harmonic D4!harmonic");
    checkRule(harmonicOctaveUnclear, "<with a harmonious touch>C4 [D4!harmonic]");
  });

  // Source: MusicXML 4.0, musicxml.xsd, complexType harmonic.
  test("so does the notation itself", () => {
    const { text } = tinyScore("C4!harmonic");
    for (const which of ["base-pitch", "touching-pitch", "sounding-pitch"]) {
      checkRule(
        harmonicOctaveUnclear,
        text.replace("<harmonic/>", `<harmonic><natural/><${which}/></harmonic>`),
      );
    }
  });

  test("without harmonics nothing is asked", () => {
    checkRule(harmonicOctaveUnclear, "C4 D4!tremolo");
  });
});
