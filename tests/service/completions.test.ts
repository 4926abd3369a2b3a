import { expect, test } from "vitest";
import { analyse } from "../../shared/service/analyse.ts";
import { completions } from "../../shared/service/completions.ts";
import { applyEdits } from "../../shared/text/edits.ts";
import { tinyScore } from "../support/tinyScore.ts";

test("fingers come best first, each with what it costs more", () => {
  const { text } = tinyScore("C4:1 D4 E4 F4");
  const at = text.indexOf("</fingering>");
  const found = completions(analyse(text), at);
  // Four notes that rise to the thumb: 4 3 2 1 (common practice, no source).
  expect(found[0]).toMatchObject({ kind: "finger", label: "4" });
  expect(found.map(({ label }) => label).sort()).toEqual(["1", "2", "3", "4"]);
  expect(found.slice(1).every(({ detail }) => /^(costs |as it is$)/.test(detail))).toBe(true);
  const changed = applyEdits(text, [{ span: found[0]!.span, text: found[0]!.text }]);
  expect(changed).toBe(text.replace(/(<fingering[^>]*>)1</, "$14<"));
});

test("a text that is broken just now still gets the four fingers", () => {
  const { text } = tinyScore("C4:1 D4 E4 F4");
  const start = text.indexOf("</fingering>");
  const broken = `${text.slice(0, start - 1)}</fing${text.slice(start + "</fingering>".length)}`;
  const found = completions(analyse(broken), start - 1);
  expect(found.map(({ label, detail }) => [label, detail])).toEqual(
    ["1", "2", "3", "4"].map((label) => [label, ""]),
  );
});

test("a bracket's ends between notes, on the right staff and in the file's layout", () => {
  const { text } = tinyScore("R: C4:2 D4:1 // L: C3:2 D3:1");
  const notes = [...text.matchAll(/<note[\s>]/g)].map((match) => match.index);
  for (const [first, staff] of [
    [0, 1],
    // A rest fills the right hand's bar.
    [3, 2],
  ] as const) {
    const before = completions(analyse(text), notes[first]!);
    const start = before.find(({ label }) => label.endsWith("start"))!;
    const indent = /[ \t]*$/.exec(text.slice(0, notes[first]))![0];
    const opened = applyEdits(text, [{ span: start.span, text: `${start.text}\n${indent}` }]);
    const second = opened.indexOf("<note", opened.indexOf("<note", start.span.start) + 1);
    const end = opened.indexOf("</note>", second) + "</note>".length;
    const stop = completions(analyse(opened), end).find(({ label }) => label.endsWith("stop"))!;
    const closed = applyEdits(opened, [{ span: stop.span, text: `\n${indent}${stop.text}` }]);
    const { hands, problems } = analyse(closed);
    expect(problems).toEqual([]);
    expect(hands[staff - 1]!.placings.map(({ first, last }) => [first, last])).toEqual([[0, 1]]);
    expect(start.text).toContain(`<staff>${staff}</staff>`);
    expect(start.text.split("\n")[1]).toMatch(new RegExp(`^${indent}\\s+<direction-type>$`));
  }
});

test("what was typed of the tag is replaced; nothing is offered in a note, a tag or a chord", () => {
  const { text } = tinyScore("C4 D4+F4");
  const notes = [...text.matchAll(/<note[\s>]/g)].map((match) => match.index);
  const typing = `${text.slice(0, notes[1])}<dir${text.slice(notes[1])}`;
  const found = completions(analyse(typing), notes[1]! + 4);
  expect(found.map(({ label }) => label)).toEqual(["placing bracket: start", "placing bracket: stop"]);
  expect(found[0]!.span).toEqual({ start: notes[1], end: notes[1]! + 4 });
  for (const at of [notes[0]! + 3, text.indexOf("<pitch>"), text.indexOf("<voice>"), notes[2]!, 0])
    expect(completions(analyse(text), at)).toEqual([]);
});
