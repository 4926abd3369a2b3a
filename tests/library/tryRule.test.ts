import { expect, test } from "vitest";
import {
  defineRule,
  type Edit,
  edit,
  fingerEdits,
  pitchOf,
  placeOf,
  type Rule,
  tryRule,
} from "../../shared/library/rules.ts";
import { tinyScore } from "../support/tinyScore.ts";

const repair = { title: "Take 3", safety: "ask" } as const;

const honest = defineRule({
  id: "test/no-four",
  severity: "info",
  summary: "A 4.",
  why: "A test.",
  bad: "C4:4",
  good: "C4:3",
  fixes: [repair],
  check(input, report) {
    for (const hand of input.hands) {
      hand.line.events.forEach(({ notes }, event) => {
        notes.forEach((entry, i) => {
          if (hand.fingers[event]![i] !== 4) return;
          report({
            span: placeOf(entry),
            message: `${pitchOf(entry)} has 4.`,
            at: { hand, event },
            fixes: [{ ...repair, edits: () => fingerEdits(input, hand, entry, 3) }],
          });
        });
      });
    }
  },
});

/** The same, with other edits in its repair. */
function repairedWith(edits: (text: string, start: number) => readonly Edit[]): Rule {
  return {
    ...honest,
    check: (input, report) =>
      honest.check(input, (found) =>
        report({ ...found, fixes: [{ ...repair, edits: () => edits(input.text, found.span.start) }] }),
      ),
  };
}

test("an honest rule has nothing wrong", () => {
  expect(tryRule(honest)).toEqual([]);
  expect(tryRule(honest, "C4:[4] D4:3 | E4:[4]", { fixed: "C4:3 D4:3 | E4:4", message: "C4 has 4" })).toEqual(
    [],
  );
  const { text } = tinyScore("C4:4");
  const marked = text.replace("</fingering>", "</fingering> <!-- expect test/no-four -->");
  expect(tryRule(honest, marked)).toEqual([]);
  expect(tryRule(honest, text)).toEqual([expect.stringMatching(/^Found: line \d+\. Expected: nothing\.$/)]);
});

test("what is found elsewhere, or said or repaired otherwise, is told", () => {
  expect(tryRule(honest, "C4:4 D4:[3]")[0]).toMatch(
    /^Found: <fingering.*4.* on line 36.*Expected: <fingering.*3/,
  );
  expect(tryRule(honest, "C4:[4]", { fixed: "C4:2", message: "C5" })).toEqual([
    'The first finding says "C4 has 4.", not "C5".',
    expect.stringMatching(/^The repair "Take 3" gives right 28:3 .*, not right 28:2/),
  ]);
  expect(tryRule({ ...honest, good: "C4:4" })).toEqual([
    expect.stringContaining('The example "good" has 1 findings'),
  ]);
  expect(tryRule({ ...honest, bad: "C4:3" })).toEqual([
    'The example "bad" has 0 findings; it should have 1.',
  ]);
});

test("repairs that break a promise are told", () => {
  const wrong = (rule: Rule): string => tryRule(rule).join();
  expect(wrong({ ...honest, fixes: [] })).toContain('it is not among the "fixes" of the rule');
  expect(wrong(repairedWith(() => []))).toContain("it changes nothing");
  expect(wrong(repairedWith((text) => [{ span: { start: 0, end: text.length }, text: "" }]))).toContain(
    "more than fingering",
  );
  expect(
    wrong(
      repairedWith((_, start) =>
        edit().insert(start, '<fingering substitution="yes">2</fingering>').finish(),
      ),
    ),
  ).toContain("its finding is still there");
});

test("scores and settings that cannot be read", () => {
  expect(() => tryRule(honest, "C4:")).toThrow(/not in the short notation/);
  expect(() => tryRule(honest, "C4:4", { settings: { tempos: 1 } })).toThrow(/There is no "tempos"/);
  expect(() => defineRule({ ...honest, id: "no-four" })).toThrow(/two names with a slash/);
});

test("a finger is put on the other side of the staff by a sign", () => {
  const { text } = tinyScore("R: C4:^1 D4:2 // L: C3:^1 D3:2");
  expect([...text.matchAll(/<fingering placement="(\w+)"/g)].map((match) => match[1])).toEqual([
    "below",
    "above",
    "above",
    "below",
  ]);
});
