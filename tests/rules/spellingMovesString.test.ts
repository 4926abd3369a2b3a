import { describe, test } from "vitest";
import { harpPreset } from "../../shared/harp/instruments.ts";
import { openTuning } from "../../shared/harp/tunings.ts";
import { spellingMovesString } from "../../shared/rules/spellingMovesString.ts";
import type { Settings } from "../../shared/service/analyse.ts";
import { checkRule } from "../support/checkRule.ts";

const eFlat: Settings = { instrument: { harp: harpPreset("lever-34")!, open: openTuning("Eb")! } };
const pedal: Settings = { instrument: { harp: harpPreset("pedal-47")! } };

describe("spelling-moves-string", () => {
  test("a note that only the neighbour can sound is reported once, with its string", () => {
    checkRule(spellingMovesString, "C4:2 [Db4:1] C4:2 Db4:1", {
      settings: eFlat,
      message:
        "Db4 is played on the C4 string, as C#4 in E flat major tuning. The fingers here are for the D4 string. 2 notes ask for it.",
    });
    checkRule(spellingMovesString, "[Gb4]", { settings: eFlat });
  });

  test("a double sharp has no pedal", () => {
    checkRule(spellingMovesString, "[F##4]", { settings: pedal, message: "played on the G4 string, as G4." });
  });

  test("what is written as it is played is nothing to report", () => {
    checkRule(spellingMovesString, "C4 C#4 Eb4 E4 F#4 Ab4 A4", { settings: eFlat });
    checkRule(spellingMovesString, "Cb4 E#4 B#4 Db4 Gb4", { settings: pedal });
  });

  test("nor is what no string sounds, or what an unknown tuning may have", () => {
    checkRule(spellingMovesString, "Eb4", {
      settings: { instrument: { harp: harpPreset("lever-34")!, open: openTuning("C")!, levers: ["F"] } },
    });
    checkRule(spellingMovesString, "Db4", { settings: { instrument: { harp: harpPreset("lever-34")! } } });
    checkRule(spellingMovesString, "<tune D to D flat>Db4", { settings: eFlat });
    checkRule(spellingMovesString, "Db4");
  });
});
