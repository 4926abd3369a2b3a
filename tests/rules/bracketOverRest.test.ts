import { describe, test } from "vitest";
import { bracketOverRest } from "../../shared/rules/bracketOverRest.ts";
import { checkRule } from "../support/checkRule.ts";

describe("bracket-over-rest", () => {
  test("a bracket over a long rest is split there, with the thumb on top of both groups", () => {
    checkRule(bracketOverRest, "@60 [(]C4/1:4 D4/1:3 r/2 E4/1:2 F4/1:1) r/2", {
      fixed: "@60 (C4/1:2 D4/1:1) r/2 (E4/1:2 F4/1:1) r/2",
      message: "The bracket from C4 to F4 goes over a rest of 2 s after D4: time to come off and place anew.",
    });
    checkRule(bracketOverRest, "L: @60 [(]G3/1:1 r/2 E3/1:2 | C3/1:3) r/3");
  });

  test("a single note on one side stands alone", () => {
    checkRule(bracketOverRest, "@60 [(]C4/1:3 D4/1:2 r/2 E4/1:1) r/3", {
      fixed: "@60 (C4/1:2 D4/1:1) r/2 E4/1:2 r/3",
    });
  });

  test("a short rest articulates", () => {
    checkRule(bracketOverRest, "@60 (C4/0.75:4 r/0.25 D4/0.75:3 r/0.25 E4/0.75:2 r/0.25 F4/0.75:1) r/0.25");
    checkRule(bracketOverRest, "(C4:4 r D4:3 r E4:2 r F4:1) r");
    checkRule(bracketOverRest, "@160 (C4/1:4 D4/1:3 r/1 E4/1:2 | F4/1:1) r/3");
  });

  test("a note that sounds on in another voice, is tied or rings leaves no rest", () => {
    checkRule(bracketOverRest, "R: @60 (C4/1:3 r/2 E4/1:2 | G4/1:1) r/3 // R: C4/4");
    checkRule(bracketOverRest, "@60 (C4/1_:2 C4/2 E4/1:1)");
  });

  test("a rest between brackets is as it should be, and a turn under one has its own rule", () => {
    checkRule(bracketOverRest, "@60 (C4/1:2 D4/1:1) r/2 (E4/1:2 F4/1:1) r/2");
    checkRule(bracketOverRest, "@60 (C4/1:2 D4/1:1 r/2 C4/1:2) r/3");
  });
});
