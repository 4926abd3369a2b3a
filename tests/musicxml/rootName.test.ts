import { expect, test } from "vitest";
import { isScore, rootName } from "../../shared/musicxml/rootName.ts";

// Source for what may stand before the root element: XML 1.0 (fifth edition), section 2.8, prolog.
test.each([
  ["<score-partwise>", "score-partwise"],
  ['<score-timewise version="4.0">', "score-timewise"],
  ["<a/>", "a"],
  ["\uFEFF<?xml version='1.0'?>\r\n<score-partwise", "score-partwise"],
  ["<?xml?><!-- <b> --><?style x > y?>\n<!-- -->\n<a>", "a"],
  ['<!DOCTYPE score-partwise PUBLIC "a>b" "c">\n<!-- x --><score-partwise>', "score-partwise"],
  ["<!DOCTYPE a [ <!ENTITY b '>'> <!-- ] --> ]> <a>", "a"],
  ["", undefined],
  ["text", undefined],
  ["<?xml", undefined],
  ["<!-- <a>", undefined],
  ["<!DOCTYPE a", undefined],
  ["<!DOCTYPE a [ <!ENTITY b ", undefined],
  ["< a>", undefined],
])("%j has the root %s", (text, name) => {
  expect(rootName(text)).toBe(name);
});

test("two root elements make a score", () => {
  expect(["score-partwise", "score-timewise", "opus", "container", undefined].filter(isScore)).toEqual([
    "score-partwise",
    "score-timewise",
  ]);
});
