import { expect, test } from "vitest";
import { analyse } from "../../shared/service/analyse.ts";
import { foldingSpans } from "../../shared/service/foldingSpans.ts";
import { type OutlineItem, outline, outlineMatches } from "../../shared/service/outline.ts";
import { selectionSpans } from "../../shared/service/selectionSpans.ts";
import { contains } from "../../shared/text/span.ts";
import { demoText } from "../support/demo.ts";
import { tinyScore } from "../support/tinyScore.ts";

const demo = demoText("lantern-waltz");
const analysis = analyse(demo);

function all(items: readonly OutlineItem[]): OutlineItem[] {
  return items.flatMap((item) => [item, ...all(item.children)]);
}

test("an outline has the parts and in each its bars, by their printed numbers", () => {
  const [part, ...others] = outline(analysis);
  expect(others).toEqual([]);
  expect(part).toMatchObject({ kind: "part", detail: "harp" });
  const numbers = [...demo.matchAll(/<measure [^>]*number="([^"]*)"/g)].map((match) => `bar ${match[1]}`);
  expect(part!.children.map(({ name }) => name)).toEqual(numbers);
});

test("a rehearsal mark is found under its bar and by its name", () => {
  const text = tinyScore("C4 D4 E4 F4 C4 D4 E4 F4 G4 A4").text.replace(
    /(<measure number="2"[^>]*>)/,
    "$1<direction><direction-type><rehearsal>Trio</rehearsal></direction-type></direction>",
  );
  const items = outline(analyse(text));
  expect(items[0]!.children[1]).toMatchObject({
    detail: "Trio",
    children: [{ kind: "rehearsal", name: "Trio" }],
  });
  expect(outlineMatches(items, " trio").map(({ item, container }) => [item.name, container])).toEqual([
    ["Trio", "bar 2"],
  ]);
  const [mark] = items[0]!.children[1]!.children;
  expect(text.slice(mark!.span.start, mark!.span.end)).toContain("Trio");
});

test("every selection lies in its item, also in a text that breaks off", () => {
  for (const cut of [demo.length, 70_000, 12_345, 400, 0]) {
    for (const item of all(outline(analyse(demo.slice(0, cut))))) {
      expect(contains(item.span, item.selection)).toBe(true);
      expect(item.span.end).toBeLessThanOrEqual(cut);
    }
  }
});

test("parts, measures and notes fold, outer ones first", () => {
  const texts = foldingSpans(analysis).map(({ start, end }) => demo.slice(start, end));
  expect(texts.filter((text) => /^<part[\s>][\s\S]*<\/part>$/.test(text))).toHaveLength(1);
  expect(texts.filter((text) => /^<measure[\s>][\s\S]*<\/measure>$/.test(text))).toHaveLength(
    demo.match(/<measure[\s>]/g)!.length,
  );
  expect(texts.filter((text) => /^<note[\s>][\s\S]*<\/note>$/.test(text))).toHaveLength(
    demo.match(/<note[\s>]/g)!.length - (demo.match(/<rest\b/g) ?? []).length,
  );
});

test("a selection grows from a finger to the whole text", () => {
  const at = demo.indexOf("</fingering>");
  const grown = selectionSpans(analysis, at).map(({ start, end }) => demo.slice(start, end));
  expect(grown[0]).toMatch(/^[1-4]$/);
  expect(grown.slice(1).map((text) => /^<([\w-]+)/.exec(text)?.[1] ?? "")).toEqual([
    "fingering",
    "technical",
    "notations",
    "note",
    "measure",
    "part",
    "",
  ]);
  expect(grown.at(-1)).toBe(demo);
  expect(selectionSpans(analysis, 0)).toEqual([{ start: 0, end: demo.length }]);
});
