import { describe, expect, test } from "vitest";
import { handMarkUnclear } from "../../shared/rules/handMarkUnclear.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { checkRule } from "../support/checkRule.ts";
import { tinyScore } from "../support/tinyScore.ts";

const left = "L: C3/4 | D3/4 | E3/4 | F3/4";

describe("hand-mark-unclear", () => {
  test("a mark that gives bars away and is never taken back", () => {
    checkRule(handMarkUnclear, `R: E4/4 | [<l.h.>]F4/4 | G4/4 | F4/4 // ${left}`, {
      message:
        '"l.h." gives 3 notes to the left hand, from bar 2 to bar 4, and nothing takes it back. If it is meant for less, mark where the right hand goes on.',
    });
    checkRule(handMarkUnclear, "R: C5/4 | D5/4 | E5/4 // L: [<m.d.>]F4/4 | F4/4 | G4/4");
  });

  test("a mark that gives a hand what it does not reach", () => {
    checkRule(handMarkUnclear, "R: [<m.g.>]E6/1 r/3 // L: C3/4", {
      message:
        '"m.g." gives E6 of bar 1 to the left hand, which has C3 at the same time: a span of 24 strings, more than a hand reaches.',
    });
  });

  test("a mark for a note or two, with a rest or the other mark after it", () => {
    checkRule(handMarkUnclear, `R: E4/2 <l.h.>F4/1 r/1 | F4/4 | G4/4 | F4/4 // ${left}`);
    checkRule(handMarkUnclear, `R: <l.h.>E4/4 | F4/4 | <r.h.>G4/4 | F4/4 // ${left}`);
    checkRule(handMarkUnclear, `R: <l.h.>E4/4 | F4/4 | G4/4 | F4/4 | <right hand>G4/4 // ${left} | C3/4`);
  });

  test("a mark for a hand that has nothing else to do is clear", () => {
    checkRule(handMarkUnclear, "R: <l.h.>E4/4 | F4/4 | G4/4 | F4/4 // L: r/4 | r/4 | r/4 | C3/4");
  });

  test("a mark for the hand that plays the staff anyway reminds, no more", () => {
    checkRule(handMarkUnclear, `R: <r.h.>E4/4 | F4/4 | G4/4 | F4/4 // ${left}`);
  });

  test("dynamics and other words are no marks for a hand", () => {
    checkRule(handMarkUnclear, `R: <mezzo forte>E4/4 | <m.f.>F4/4 | <md. loud>G4/4 | F4/4 // ${left}`);
  });

  test("marks that are told not to be followed give nothing away", () => {
    checkRule(handMarkUnclear, `R: <l.h.>E4/4 | F4/4 | G4/4 | F4/4 // ${left}`, {
      settings: { hands: { marks: "ignore" } },
    });
  });

  test("what the hand could not play then is not told of besides", () => {
    const { findings } = analyse(
      tinyScore(
        "R: <l.h.>(C5/1:3 E5/1:2 G5/1:1) C5/1:2 | F5/4:2 | G5/4:2 | F5/4:2 // L: (C3/1:3 D3/1:2 E3/1:1) C3/1:2 | D3/4:2 | E3/4:2 | F3/4:2",
      ).text,
    );
    const told = findings.filter(({ severity }) => severity !== "info").map(({ rule }) => rule);
    expect(told).toEqual(["hand-mark-unclear"]);
  });
});
