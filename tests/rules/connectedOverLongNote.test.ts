import { describe, test } from "vitest";
import { connectedOverLongNote } from "../../shared/rules/connectedOverLongNote.ts";
import { checkRule } from "../support/checkRule.ts";

describe("connected-over-long-note", () => {
  test("a long turning note: the hand comes off", () => {
    checkRule(connectedOverLongNote, "@60 (C4:3 D4:2 [(]E4/2:1) D4:2 C4:3)", {
      fixed: "@60 (C4:3 D4:2 E4/2:1) (D4:1 C4:2)",
      message: "The hand stays on the strings over E4, 2 s: time to come off and place anew.",
    });
    checkRule(connectedOverLongNote, "L: @60 (E3:1 D3:2 [(]C3/2:3) D3:2 E3:1)");
  });

  test("a crossing drawn from a long note", () => {
    checkRule(connectedOverLongNote, "@60 (C4:4 D4:3 E4:2 [(]F4/2.5:1) | G4:4 A4:3 B4:2 C5:1)", {
      fixed: "@60 (C4:4 D4:3 E4:2 F4/2.5:1) | (G4:4 A4:3 B4:2 C5:1)",
    });
  });

  test("so does a fermata", () => {
    checkRule(connectedOverLongNote, "@60 (C4:3 D4:2 [(]E4/1.5:1!fermata) D4:2 C4:3)");
  });

  test("one bracket over several long notes", () => {
    checkRule(
      connectedOverLongNote,
      "@60 C4:2 D4:2 E4:2 F4:2 [(]C4:4 E4/2.5:3 | G4/2.5:2 C5:1) C5:1 C5:1 C5:1",
      { fixes: 1 },
    );
  });

  test("between long and short either way is right", () => {
    checkRule(connectedOverLongNote, "@60 (C4:3 D4:2 (E4/1.25:1) D4:2 C4:3)");
    checkRule(connectedOverLongNote, "(C4:3 D4:2 (E4:1) D4:2 C4:3)");
  });

  test("slow but even notes are still connected", () => {
    checkRule(connectedOverLongNote, "@40 (C4/1:3 D4/1:2 (E4/1:1) D4/1:2 | C4/1:3)");
  });

  test("the other hand leaps just then", () => {
    const right = "R: @60 (C5:3 D5:2 (E5/2:1) D5:2 C5:3)";
    checkRule(connectedOverLongNote, right.replace("(E5", "[(]E5").concat(" // L: C3/4:2"));
    checkRule(connectedOverLongNote, `${right} // L: C3/3:2 A1/1:4`);
  });

  test("what follows comes suddenly", () => {
    checkRule(connectedOverLongNote, "@60 (C4:3 D4:2 (E4/2:1) D4/0.125:2 C4/0.125:3) r/0.75");
    checkRule(connectedOverLongNote, "@60 (C4:3 D4:2 (E4/2:1) ~D4:2 C4:3)");
  });

  test("a bracket that ends with the phrase", () => {
    checkRule(connectedOverLongNote, "@60 (C4:3 D4:2 E4/2:1) (D4:1 C4:2)");
    checkRule(connectedOverLongNote, "@60 (C4:4 D4:3 E4:2 F4/2.5:1) | (G4:4 A4:3 B4:2 C5:1)");
  });

  test("a rest has its own rule, and fingers alone do not say whether the hand stays", () => {
    checkRule(connectedOverLongNote, "@60 (C4/1:3 D4/1:2 r/2 E4/1:1) r/3");
    checkRule(connectedOverLongNote, "@60 C4:3 D4:2 E4/2:1 D4:2 C4:3");
  });
});
