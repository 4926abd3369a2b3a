import { describe, test } from "vitest";
import { fingerOnUnpluckedNote } from "../../shared/rules/fingerOnUnpluckedNote.ts";
import { checkRule } from "../support/checkRule.ts";
import { tinyScore } from "../support/tinyScore.ts";

const move = "Move this finger to the note that is plucked";
const remove = "Remove this fingering";

describe("finger-on-unplucked-note", () => {
  test("a finger at a tie's continuation is reported and can be removed", () => {
    checkRule(fingerOnUnpluckedNote, "C4:2 D4:1 E4_:2 E4:[1]", {
      fixed: "C4:2 D4:1 E4_:2 E4",
      fixes: 1,
      message: "E4 sounds on from a tie and has finger 1; it is not plucked again.",
    });
    checkRule(fingerOnUnpluckedNote, "L: C3/4_:4 | C3/4_ | C3/4:[4]", { fixed: "L: C3/4_:4 | C3/4_ | C3/4" });
  });

  test("where the plucked note has none it can be moved there", () => {
    checkRule(fingerOnUnpluckedNote, "C4:2 E4/3.5_ | E4/4_ | E4:[1] D4:2", {
      fix: move,
      fixed: "C4:2 E4/3.5_:1 | E4/4_ | E4 D4:2",
    });
    checkRule(fingerOnUnpluckedNote, "E4_ E4:[1] D4:2", { fix: remove, fixed: "E4_ E4 D4:2" });
  });

  test("a chord's tied notes are told one by one, those plucked anew keep theirs", () => {
    checkRule(fingerOnUnpluckedNote, "C4_:3+E4:2 C4:[3]+F4:1", { fixed: "C4_:3+E4:2 C4+F4:1" });
    checkRule(fingerOnUnpluckedNote, "C4_:3+E4:2 C4+F4:1");
  });

  test("a rest has no finger", () => {
    const { text } = tinyScore("C4:2 D4:1 r E4:1");
    const technical = "<notations><technical><fingering>3</fingering></technical></notations>";
    const marked = text.replace(
      /<rest\/>[\s\S]*?<voice>1<\/voice>/,
      `$&${technical} <!-- expect finger-on-unplucked-note -->`,
    );
    checkRule(fingerOnUnpluckedNote, marked, { message: "A rest has finger 3; nothing is plucked there." });
    checkRule(fingerOnUnpluckedNote, marked.replace(">3<", "><").replace(/ <!--.*-->/, ""));
    const knock = marked.replace("<rest/>", "<unpitched/>").replace(/ <!--.*-->/, "");
    checkRule(fingerOnUnpluckedNote, knock);
  });

  test("a cue is another player's", () => {
    checkRule(fingerOnUnpluckedNote, "C4:2 D4:[1]!cue E4:1", {
      fixed: "C4:2 D4!cue E4:1",
      message: "D4 is a cue and has finger 1",
    });
  });

  test("small notes that all have fingers are another way to play the bar", () => {
    checkRule(fingerOnUnpluckedNote, "C4:2 D4:3!cue E4:2!cue F4:1!cue E4:1");
  });

  test("a tie that a repeat comes back behind is plucked the second time", () => {
    const { text } = tinyScore("C4/3:2 D4:2 E4_:1 | E4/1:1 D4/1:2 C4/2:3");
    const expected = text.replace(
      /(<measure number="2">[\s\S]*?<fingering [^>]*>1<\/fingering>)/,
      "$1 <!-- expect finger-on-unplucked-note -->",
    );
    checkRule(fingerOnUnpluckedNote, expected);
    const back = text
      .replace(
        '<measure number="2">',
        '<measure number="2"><barline location="left"><repeat direction="forward"/></barline>',
      )
      .replace(
        /<\/measure>\s*<\/part>/,
        '<barline location="right"><repeat direction="backward"/></barline>$&',
      );
    checkRule(fingerOnUnpluckedNote, back);
  });

  test("a silent change of finger, and a string that the other hand takes over, are meant", () => {
    checkRule(fingerOnUnpluckedNote, "E4/2_:1 E4/2>2");
    const { text } = tinyScore("R: r/4 | C4/4:2 // L: C4/4_:1 | r/4");
    const tied = text.replace(
      /(<measure number="2">[\s\S]*?<duration>\d+<\/duration>)/,
      '$1\n        <tie type="stop"/>',
    );
    checkRule(fingerOnUnpluckedNote, tied);
  });

  test("notes that are plucked, and hidden ones, are nothing to report", () => {
    checkRule(fingerOnUnpluckedNote, "C4:2 C4:1 D4_:2 E4:1");
    checkRule(fingerOnUnpluckedNote, "C4:2 D4:1!hidden");
    checkRule(fingerOnUnpluckedNote, 'C4:2 E4_:1 E4:""');
  });
});
