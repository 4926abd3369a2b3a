import { describe, expect, test } from "vitest";
import type { Position } from "vscode-languageserver/node";
import { clientFeatures, type PositionEncoding } from "../../server/lsp/features.ts";
import { OpenDocument } from "../../server/lsp/state.ts";
import { demoText } from "../support/demo.ts";
import { Dice } from "../support/randomLines.ts";
import { randomChange } from "../support/randomTyping.ts";
import { positionAt } from "../support/scriptedEditor.ts";

const start = "one\r\ntwo é 𝄞\rthree €\n🎶\n\nlast";

/** Units of a text in each encoding. Source: LSP 3.17, PositionEncodingKind; Node's own encoder for UTF-8. */
const lengthIn: Readonly<Record<PositionEncoding, (text: string) => number>> = {
  "utf-8": (text) => Buffer.byteLength(text),
  "utf-16": (text) => text.length,
  "utf-32": (text) => [...text].length,
};

function positionIn(encoding: PositionEncoding, text: string, offset: number): Position {
  const { line, character } = positionAt(text, offset);
  return { line, character: lengthIn[encoding](text.slice(offset - character, offset)) };
}

function open(
  text: string,
  encoding: PositionEncoding,
  languageId = "xml",
  name = "piece.xml",
): OpenDocument {
  const features = clientFeatures({ general: { positionEncodings: [encoding] } });
  return new OpenDocument({ uri: `file:///${name}`, languageId, version: 1, text }, features);
}

describe.each(["utf-8", "utf-16", "utf-32"] as const)("counting in %s", (encoding) => {
  test("the text follows hundreds of changes, and every place is found both ways", () => {
    const dice = new Dice(11);
    let text = start;
    let document = open(text, encoding);
    for (let version = 2; version < 500; version += 1) {
      const changes = [];
      for (let count = dice.whole(1, 3); count > 0; count -= 1) {
        const change = randomChange(dice, text, 0, text.length);
        const range = {
          start: positionIn(encoding, text, change.start),
          end: positionIn(encoding, text, change.end),
        };
        changes.push({ range, text: change.text });
        text = text.slice(0, change.start) + change.text + text.slice(change.end);
      }
      document.change(changes, version);
      expect(document.text).toBe(text);
      expect(document.version).toBe(version);
      const { start: offset } = randomChange(dice, text, 0, text.length);
      expect(document.convert.position(offset)).toEqual(positionIn(encoding, text, offset));
      expect(document.convert.offset(positionIn(encoding, text, offset))).toBe(offset);
      if (text.length > 4000) {
        text = start;
        document = open(text, encoding);
      }
    }
  });

  test("a place outside the text counts as the nearest inside", () => {
    const { convert } = open(start, encoding);
    expect(convert.offset({ line: 99, character: 0 })).toBe(start.length);
    expect(convert.offset({ line: 0, character: 99 })).toBe("one".length);
    expect(convert.offset({ line: 1, character: 99 })).toBe(start.indexOf("\r", 5));
    expect(convert.span({ start: { line: 9, character: 9 }, end: { line: 0, character: 1 } })).toEqual({
      start: 1,
      end: start.length,
    });
  });
});

test("a range that ends beyond the last line replaces up to the end", () => {
  const document = open("a\nb", "utf-16");
  const range = { start: { line: 0, character: 0 }, end: { line: 7, character: 3 } };
  document.change([{ range, text: "c\nd\ne" }], 2);
  document.change(
    [{ range: { start: { line: 9, character: 0 }, end: { line: 12, character: 0 } }, text: "\n" }],
    3,
  );
  expect(document.text).toBe("c\nd\ne\n");
  expect(document.convert.position(6)).toEqual({ line: 3, character: 0 });
});

test("a change without a text or with half a range is refused", () => {
  const document = open("a", "utf-16");
  const half = { start: { line: 0 }, end: { line: 0, character: 1 } } as never;
  expect(() => document.change([{ text: 7 } as never], 2)).toThrow("a change has no text");
  expect(() => document.change([{ range: half, text: "" }], 2)).toThrow("needs a line and a character");
});

test("a reading is made once for each version", () => {
  const document = open(demoText("millrace-reel"), "utf-16");
  const first = document.analysis;
  expect(first?.hands).toHaveLength(2);
  expect(document.analysis === first).toBe(true);
  document.change(
    [{ range: { start: { line: 0, character: 0 }, end: { line: 0, character: 0 } }, text: "" }],
    2,
  );
  expect(document.analysis === first).toBe(false);
});

test("a score stays one while its head is typed at, and other XML never becomes one by breaking", () => {
  const score = open(demoText("millrace-reel"), "utf-16");
  const { line } = score.convert.position(score.text.indexOf("<!DOCTYPE"));
  score.change([{ range: { start: { line, character: 0 }, end: { line, character: 2 } }, text: "" }], 2);
  expect(score.analysis?.problems).not.toEqual([]);
  const other = open("<project>", "utf-16");
  expect(other.analysis).toBeUndefined();
  other.change([{ text: "<" }], 2);
  expect(other.analysis).toBeUndefined();
  other.change([{ text: "<score-partwise/>" }], 3);
  expect(other.analysis).toBeDefined();
});
