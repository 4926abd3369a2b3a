import { expect, test } from "vitest";
import { EditedText } from "../../shared/text/editedText.ts";
import { applyEdits, type Edit } from "../../shared/text/edits.ts";
import { Dice } from "../support/randomLines.ts";

test("rounds of edits come to one list that does the same", () => {
  const dice = new Dice(5);
  for (let piece = 0; piece < 300; piece += 1) {
    const first = "abcdefghijklmnopqrstuvwxyz".slice(0, dice.whole(0, 26));
    const edited = new EditedText(first);
    let text = first;
    for (let round = dice.whole(0, 5); round > 0; round -= 1) {
      const edits: Edit[] = [];
      let at = 0;
      while (at < text.length) {
        const start = at + dice.whole(0, 6);
        const end = start + dice.whole(0, 3);
        if (end > text.length) break;
        edits.push({ span: { start, end }, text: "XYZ".slice(0, dice.whole(0, 3)) });
        at = end + 1;
      }
      text = applyEdits(text, edits);
      edited.apply(edits);
    }
    expect(applyEdits(first, edited.edits())).toBe(text);
  }
});

test("what no round touched is in no edit", () => {
  const edited = new EditedText("0123456789");
  edited.apply([
    { span: { start: 1, end: 2 }, text: "one" },
    { span: { start: 8, end: 9 }, text: "" },
  ]);
  edited.apply([{ span: { start: 1, end: 4 }, text: "1!" }]);
  expect(edited.edits()).toEqual([
    { span: { start: 1, end: 2 }, text: "1!" },
    { span: { start: 8, end: 9 }, text: "" },
  ]);
  expect(new EditedText("").edits()).toEqual([]);
});
