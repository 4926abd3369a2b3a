import { describe, test } from "vitest";
import { noteMuffledEarly } from "../../shared/rules/noteMuffledEarly.ts";
import { checkRule } from "../support/checkRule.ts";
import { tinyScore } from "../support/tinyScore.ts";

const over = "(E4/0.5:4 G4/0.5:3 B4/0.5:2 C5/0.5:1)";

// A finger on a ringing string stops it, whatever its written length: common practice, no source.
describe("note-muffled-early", () => {
  test("a note that is to ring on, under a bracket that sets a finger on its string", () => {
    checkRule(noteMuffledEarly, `R: @60 [C5/2!ring] r/2 // R: r/2 ${over}`, {
      message:
        "C5 is to ring on, but the right hand's bracket of bar 1 sets a finger on its string 1.5 s before its end.",
      fixes: 1,
    });
  });

  test("a note that is written to sound on, up to where its string is plucked again", () => {
    checkRule(noteMuffledEarly, "R: @60 [C5/4] | r/4 // R: r/3 (E4/0.25:4 G4/0.25:3 B4/0.5:2 | C5/1:1) r/3", {
      message: "C5 is written to sound on",
    });
  });

  test("the other hand stops it too, and ties are part of its length", () => {
    checkRule(noteMuffledEarly, "R: @60 [C5/4] | C5/4 // L: r/3 (C4/0.5:4 E4/0.5:3 | G4:2 C5:1) r/3");
    checkRule(noteMuffledEarly, "R: @60 [C5/4_] | C5/1 r/3 // L: r/3 (C4/1:4 | E4/0.5:3 G4:2 C5:1) r/2.5");
    checkRule(noteMuffledEarly, "R: @60 C5/3 r/1 | D5/1 r/3 // L: r/3 (C4/1:4 | E4/0.5:3 G4:2 C5:1) r/2.5");
  });

  test("a note in a single line ends where the next begins", () => {
    checkRule(noteMuffledEarly, "@60 C4/2:4 (E4/0.5:3 D4/0.5:4) (C4:4 E4:3 G4:2 C5:1)");
  });

  test("a bass that is written long by habit is plucked again before its end", () => {
    checkRule(noteMuffledEarly, "L: @60 C3/4 // L: (C3:4 G3:2 C4:1) G3:2 (C3:4 G3:2 C4:1) G3:2");
    checkRule(noteMuffledEarly, `R: @60 C5/4 // R: r/2 ${over}`);
  });

  test("damping that is asked for is meant", () => {
    checkRule(noteMuffledEarly, `R: @60 C5/2!ring!staccato r/2 // R: r/2 ${over}`);
    const { text } = tinyScore(`R: @60 C5/2!ring r/2 // R: <x>r/2 ${over}`.replace("<x>r/2", "r/1 r/1"));
    const damp =
      "<direction><direction-type><damp-all/></direction-type><voice>2</voice></direction>\n      <note>\n        <rest/>";
    const second = text.indexOf("<rest/>", text.indexOf("<voice>2</voice>"));
    const at = text.lastIndexOf("<note>", second);
    checkRule(noteMuffledEarly, text.slice(0, at) + damp + text.slice(second + "<rest/>".length));
  });

  test("a moment less is not heard", () => {
    checkRule(noteMuffledEarly, "R: @120 C5/2.5 r/1.5 // R: r/2 (E4/0.25:4 G4/0.25:3 B4/0.25:2 C5/0.25:1)");
    checkRule(noteMuffledEarly, "R: @70 C5/3.5 r/0.5 // R: r/3 (B4/0.5:2 C5/0.5:1)");
  });

  test("two harps are two players", () => {
    const { text } = tinyScore(`R: @60 C5/2!ring r/2 // R: r/2 ${over}`);
    checkRule(noteMuffledEarly, text.replace(">Harp<", ">Harps<"));
  });
});
