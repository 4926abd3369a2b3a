import { describe, test } from "vitest";
import { harpPreset } from "../../shared/harp/instruments.ts";
import { openTuning } from "../../shared/harp/tunings.ts";
import { leverMovedWhileRinging } from "../../shared/rules/leverMovedWhileRinging.ts";
import { noTimeForLever } from "../../shared/rules/noTimeForLever.ts";
import type { Settings } from "../../shared/service/analyse.ts";
import { checkRule } from "../support/checkRule.ts";

const settings: Settings = { instrument: { harp: harpPreset("lever-34")!, open: openTuning("C")! } };

// Common practice, no source: the left hand leaves the strings to move a lever. How long it takes is an estimate.
describe("no-time-for-lever", () => {
  test("says which lever goes where, between which notes, and what would make room", () => {
    checkRule(noTimeForLever, "R: @60 F4/1 A4/1 [F#4]/1 A4/1 // L: C3 E3 G3 C4 B3 G3 E3 C3", {
      settings,
      severity: "warning",
      message:
        "The F4 lever has to go up between F4 in bar 1 and F#4 in bar 1, and the left hand has no 0.7 s free there. Give some of its notes to the right hand or leave them out, set the lever earlier by another spelling, or take it slower. The right hand is free for it, if it reaches that lever.",
    });
  });

  test("a right hand that is busy too is not named", () => {
    checkRule(noTimeForLever, "R: @60 F4 A4 [F#4] A4 F#4 A4 F#4 A4 // L: C3 E3 G3 C4 B3 G3 E3 C3", {
      settings,
      message: "has no 0.7 s free there. Give some of its notes to the right hand",
    });
  });

  test("a bracket over the only moment is told of", () => {
    const bar = "R: @60 F4/1 A4/1 F4/1 A4/1 // L: C3/1 E3/1 G3/1 C4/1";
    checkRule(noTimeForLever, bar, { settings });
    checkRule(noTimeForLever, "R: @60 F4/1 [F#4]/1 r/2 // L: (C3:4/1 E3:3/1 G3:2/1 C4:1/1)", {
      settings,
      message: "a bracket of the left hand reaches over the only moment",
    });
  });

  test("quiet: a lever that can be set before the piece, or in a rest", () => {
    checkRule(noTimeForLever, "R: @60 F#4/1 A4/1 F#4/1 A4/1 // L: C3 E3 G3 C4 B3 G3 E3 C3", { settings });
    checkRule(noTimeForLever, "R: @60 F4/1 A4/1 F#4/1 A4/1 // L: C3 E3 r/2 B3 G3", { settings });
    checkRule(noTimeForLever, "R: @60 F4/1 A4/1 F#4/1 A4/1 // L: C3 E3 r/3", { settings });
  });

  test("quiet: words say that somebody else moves it", () => {
    const left = "L: C3 E3 G3 C4 B3 G3 E3 C3";
    checkRule(noTimeForLever, `R: @60 F4/1 A4/1 <helper: F sharp>F#4/1 A4/1 // ${left}`, { settings });
    checkRule(noTimeForLever, `R: @60 F4/1 A4/1 <F sharp>[F#4]/1 A4/1 // ${left}`, { settings });
  });

  test("quiet: pedals need no hand, and a harp without a tuning tells nothing", () => {
    const music = "R: @60 F4/1 A4/1 F#4/1 A4/1 // L: C3 E3 G3 C4 B3 G3 E3 C3";
    checkRule(noTimeForLever, music, { settings: { instrument: { harp: harpPreset("pedal-47")! } } });
    checkRule(noTimeForLever, music, { settings: { instrument: { harp: harpPreset("lever-34")! } } });
    checkRule(noTimeForLever, music);
  });
});

describe("lever-moved-while-ringing", () => {
  test("the string still sounds when the only time comes", () => {
    checkRule(leverMovedWhileRinging, "R: @60 F4/3 [F#4]/1 // L: r/2 C3 E3 G3 C4", {
      settings,
      severity: "info",
    });
  });

  test("quiet: the string is to bend", () => {
    checkRule(leverMovedWhileRinging, "R: @60 F4/3 <bend>F#4/1 // L: r/2 C3 E3 G3 C4", { settings });
  });

  test("quiet: the note is over by then, or there is another moment", () => {
    checkRule(leverMovedWhileRinging, "R: @60 F4/1 r/2 F#4/1 // L: r/2 C3 E3 G3 C4", { settings });
    checkRule(leverMovedWhileRinging, "R: @60 F4/1 r/2 F#4/1 // L: C3/1 r/2 E3/1", { settings });
  });
});
