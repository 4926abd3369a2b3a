import { beforeEach, describe, expect, test } from "vitest";
import { ContainerText } from "../../client/container/containerText.ts";

const first = "one\ntwo\nthree\n";
/** Puts 2 in the place of "two". */
const edit = { range: { start: { line: 1, character: 0 }, end: { line: 1, character: 3 } }, newText: "2" };

describe("the text of a compressed score", () => {
  let told: [version: number, text: string][];
  let text: ContainerText;
  beforeEach(() => {
    told = [];
    text = new ContainerText(first, first, (...change) => told.push(change));
  });

  test("is edited, taken back and done again, each time under a new version", () => {
    const step = text.edit([edit], 1)!;
    expect(text.text).toBe("one\n2\nthree\n");
    expect(text.isChanged).toBe(true);
    step.undo();
    expect(text.text).toBe(first);
    expect(text.isChanged).toBe(false);
    step.redo();
    expect(told).toEqual([
      [2, "one\n2\nthree\n"],
      [3, first],
      [4, "one\n2\nthree\n"],
    ]);
    expect(text.version).toBe(4);
  });

  test("takes several edits whose places are those of the text before them", () => {
    const start = { line: 0, character: 0 };
    text.edit([edit, { range: { start, end: start }, newText: "zero\n" }], null);
    expect(text.text).toBe("zero\none\n2\nthree\n");
  });

  test("is not edited for another version", () => {
    text.edit([edit], 1);
    expect(text.edit([edit], 1)).toBeUndefined();
    expect(text.text).toBe("one\n2\nthree\n");
  });

  test("refuses edits that overlap, and stays as it was", () => {
    expect(() => text.edit([edit, { ...edit, newText: "zwei" }], 1)).toThrow();
    expect(text.text).toBe(first);
    expect(told).toEqual([]);
  });

  test("is unchanged once it was saved, and changed again when that is taken back", () => {
    const step = text.edit([edit], 1)!;
    text.saved(text.text);
    expect(text.isChanged).toBe(false);
    step.undo();
    expect(text.isChanged).toBe(true);
  });

  test("is what the file holds after it was reverted", () => {
    const step = text.edit([edit], 1)!;
    text.revert(first);
    expect([text.text, text.isChanged]).toEqual([first, false]);
    step.redo();
    expect(text.text).toBe("one\n2\nthree\n");
  });

  test("follows a file that another program saved, and steps from before lead nowhere", () => {
    const step = text.edit([edit], 1)!;
    text.saved(text.text);
    text.revert("another\n");
    expect([text.text, text.isChanged]).toEqual(["another\n", false]);
    expect(() => step.undo()).toThrow(/replaced meanwhile/);
    expect(text.text).toBe("another\n");
  });

  test("stays over what another program saved, and is changed then", () => {
    text.edit([edit], 1);
    text.keepOver("another\n");
    expect([text.text, text.isChanged]).toEqual(["one\n2\nthree\n", true]);
  });

  test("is changed from the start when it comes from a backup", () => {
    expect(new ContainerText("one\n", first, () => undefined).isChanged).toBe(true);
  });
});
