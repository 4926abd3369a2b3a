import { describe, test } from "vitest";
import { harpPreset } from "../../shared/harp/instruments.ts";
import { pedalInTwoPlaces } from "../../shared/rules/pedalInTwoPlaces.ts";
import { pedalsTooClose } from "../../shared/rules/pedalsTooClose.ts";
import type { Settings } from "../../shared/service/analyse.ts";
import { checkRule } from "../support/checkRule.ts";

const settings: Settings = { instrument: { harp: harpPreset("pedal-47")! } };

// About two changes a second, one foot after the other: E. Volpé Bligh, Writing for the pedal harp.
describe("pedals-too-close", () => {
  test("says which pedal goes where, between which notes, and which foot moves it", () => {
    checkRule(pedalsTooClose, "@120 F4 [F#4]", {
      settings,
      severity: "warning",
      message:
        "The F pedal has to go to sharp after F4 in bar 1 and before F#4 in bar 1: the right foot needs about 0.5 s for a change. Another spelling on a neighbouring string may save it.",
    });
  });

  test("two pedals of one foot follow each other; of two feet they move together", () => {
    checkRule(pedalsTooClose, "@60 F4+G4/1 F#4+G#4/1", { settings });
    checkRule(pedalsTooClose, "@120 F4+G4/1 F#4+[G#4]/1", { settings });
    checkRule(pedalsTooClose, "@120 F4+C4/1 F#4+C#4/1", { settings });
  });

  test("quiet: time enough, a pedal that is set before the piece, a lever harp", () => {
    checkRule(pedalsTooClose, "@120 F4/1 F#4/1", { settings });
    checkRule(pedalsTooClose, "@120 G4 F#4 G4 F#4", { settings });
    checkRule(pedalsTooClose, "@120 F4 F#4", { settings: { instrument: { harp: harpPreset("lever-34")! } } });
  });
});

/** A pedal moves all strings of its letter: harpspectrum.org, composing for harp. */
describe("pedal-in-two-places", () => {
  test("one letter twice, otherwise altered", () => {
    checkRule(pedalInTwoPlaces, "[F4]+F#5/1".replace("[F4]+F#5", "F4+[F#5]"), {
      settings,
      severity: "error",
      message:
        "F4 and F#5 sound together and ask for one pedal in two positions. One of them can be had on a neighbouring string, under its other name.",
    });
  });

  test("no spelling helps where neighbours are taken too", () => {
    checkRule(pedalInTwoPlaces, "D4+[D#5]+Eb4/1".replace("+Eb4", "+E4+F4+C4"), {
      settings,
      message: "No other spelling has them all",
    });
  });

  test("quiet: one after the other, respelled, a lever harp", () => {
    checkRule(pedalInTwoPlaces, "F4/1 F#5/1", { settings });
    checkRule(pedalInTwoPlaces, "F4+Gb5/1", { settings });
    checkRule(pedalInTwoPlaces, "F4+F#5/1", { settings: { instrument: { harp: harpPreset("lever-34")! } } });
  });
});
