import { describe, test } from "vitest";
import { turnWithoutBracket } from "../../shared/rules/turnWithoutBracket.ts";
import { checkRule } from "../support/checkRule.ts";

const before = "(C4:3 D4:2 (E4:1) D4:2 C4:3)";
const after = "(D4:3 E4:2 (F4:1) E4:2 D4:3)";

describe("turn-without-bracket", () => {
  test("the fall after a rise gets its bracket, from the turning note", () => {
    checkRule(turnWithoutBracket, `${before} (C4:3 D4:2 E4:1) | [D4:2] C4:3 ${after}`, {
      fixed: `${before} (C4:3 D4:2 (E4:1) | D4:2 C4:3) ${after}`,
      message: "The line turns at E4 and goes on to C4 without a bracket; the notes around have theirs.",
    });
  });

  test("so does a rise after a fall, with or without fingers", () => {
    checkRule(turnWithoutBracket, `${before} (E4:1 D4:2 C4:3) | [D4:2] E4:1 ${after}`);
    checkRule(turnWithoutBracket, `${before} (E4 D4 C4) | [D4] E4 ${after}`);
  });

  test("or one note between two brackets", () => {
    checkRule(turnWithoutBracket, `${before} (C4:3 D4:2 E4:1) | [D4:2] ${before}`, {
      fixed: `${before} (C4:3 D4:2 (E4:1) | D4:2 (C4:3) D4:2 (E4:1) D4:2 C4:3)`,
    });
  });

  test("sparse brackets are a house style", () => {
    checkRule(
      turnWithoutBracket,
      "(C4:3 D4:2 E4:1) D4:2 C4:3 (D4:3 E4:2 F4:1) | E4:2 D4:3 (E4:3 F4:2 G4:1) F4:2 E4:3",
    );
    checkRule(
      turnWithoutBracket,
      "C4:3 D4:2 E4:1 D4:2 (C4:3 D4:2 E4:1) D4:2 | C4:3 D4:3 E4:2 F4:1 E4:2 D4:3",
    );
  });

  test("a longer stretch was left so on purpose, and at the end of the music there is too little to tell", () => {
    checkRule(turnWithoutBracket, `${before} (C4:3 D4:2 E4:1) | D4:2 C4:3 D4:2 E4:1 D4:2 C4:3 ${after}`);
    checkRule(turnWithoutBracket, `${before} (C4:3 D4:2 E4:1) | D4:2 C4:3`);
  });

  test("on a long note the hand comes off, and a single note stands alone", () => {
    checkRule(turnWithoutBracket, `@60 ${before} (C4:3 D4:2 E4/1:1) | D4/2:2 ${after} r/2`);
  });

  test("a line that goes on the same way is another matter", () => {
    checkRule(turnWithoutBracket, `${before} (C4:3 D4:2 E4:1) | F4:3 G4:2 (D4:3 E4:2 (F4:1) E4:2 D4:3)`);
  });
});
