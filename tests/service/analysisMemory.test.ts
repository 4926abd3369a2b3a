import { expect, test } from "vitest";
import { analyse, type Settings } from "../../shared/service/analyse.ts";
import { AnalysisMemory } from "../../shared/service/analysisMemory.ts";
import { fingerScore } from "../../shared/service/fingerScore.ts";
import { proposal } from "../../shared/service/proposal.ts";
import { applyEdits } from "../../shared/text/edits.ts";
import { demoText } from "../support/demo.ts";
import { Dice } from "../support/randomLines.ts";

/** Everything that is said of a score, and what the repairs would do where that is asked for: it takes long. */
function said(text: string, settings: Settings, withEdits: boolean, memory?: AnalysisMemory): unknown {
  const { problems, findings, assumptions } = analyse(text, settings, memory);
  return {
    problems,
    assumptions,
    findings: findings.map(({ fixes, ...finding }) => ({
      ...finding,
      fixes: fixes.map((fix) => ({ title: fix.title, edits: withEdits && fix.edits() })),
    })),
  };
}

/** One place where a pattern stands in a text, with its replacement put there. */
function replacedOnce(dice: Dice, text: string, pattern: RegExp, by: (found: string) => string): string {
  const all = [...text.matchAll(pattern)];
  if (all.length === 0) return text;
  const { index, 0: found } = dice.oneOf(all);
  return applyEdits(text, [{ span: { start: index, end: index + found.length }, text: by(found) }]);
}

const changes: readonly [RegExp, (dice: Dice, found: string) => string][] = [
  [/<fingering[^>]*>\d<\/fingering>/g, (dice, found) => found.replace(/>\d</, `>${dice.whole(1, 4)}<`)],
  [/<fingering[^>]*>\d<\/fingering>/g, () => ""],
  [/<step>[A-G]<\/step>/g, (dice) => `<step>${dice.oneOf(["C", "D", "E", "F", "G", "A", "B"])}</step>`],
  [/<octave>\d<\/octave>/g, (dice) => `<octave>${dice.whole(3, 5)}</octave>`],
  [/<duration>\d+<\/duration>/g, (dice) => `<duration>${dice.oneOf([6, 12, 24])}</duration>`],
  [/<bracket type="stop"[^>]*\/>/g, () => ""],
  [
    /<per-minute>\d+<\/per-minute>|tempo="\d+"/g,
    (dice, found) => found.replace(/\d+/, `${dice.whole(40, 200)}`),
  ],
  [/<note>/g, () => "\n<!-- typed -->  <note>"],
];

test("with what earlier versions left in memory the same is found as without", () => {
  const dice = new Dice(77);
  const settings: readonly Settings[] = [{}, { profile: { hand: "small" } }];
  for (const name of ["lantern-waltz", "evening-tide"] as const) {
    const memory = new AnalysisMemory();
    let text = demoText(name);
    for (let round = 0; round < 12; round += 1) {
      const [pattern, by] = dice.oneOf(changes);
      text = replacedOnce(dice, text, pattern, (found) => by(dice, found));
      const chosen = dice.oneOf(settings);
      const withEdits = round === 11;
      const fresh = said(text, chosen, withEdits);
      expect(said(text, chosen, withEdits, memory), `${name}, round ${round}`).toEqual(fresh);
    }
  }
}, 240_000);

test("music that only moved in the text is not searched again", () => {
  const memory = new AnalysisMemory();
  const text = demoText("lantern-waltz");
  const versions = [
    text,
    text.replaceAll("<note>", "  <note>"),
    text.replace(">2</fingering>", ">3</fingering>"),
  ];
  const searches = versions.map((version) => {
    const before = memory.solutions.searches;
    expect(analyse(version, {}, memory).findings.length).toBeGreaterThan(0);
    return memory.solutions.searches - before;
  });
  const [first, moved, changed] = searches;
  expect(first).toBeGreaterThan(20);
  expect(moved).toBe(0);
  expect(changed).toBeLessThan(first!);
});

test("what is proposed is what the command that fingers the score writes, and is known after an edit elsewhere", () => {
  for (const name of ["lantern-waltz", "evening-tide", "millrace-reel"] as const) {
    const memory = new AnalysisMemory();
    const analysis = analyse(demoText(name), {}, memory);
    const proposed = analysis.hands.map((hand) => proposal(analysis, hand));
    expect(proposed, name).toEqual(
      fingerScore(analysis, { mode: "keep" }).hands.map(({ solution }) => solution),
    );
    const searches = memory.solutions.searches;
    const moved = analyse(analysis.text.replaceAll("<note>", "  <note>"), {}, memory);
    expect(moved.hands.map((hand) => proposal(moved, hand))).toEqual(proposed);
    expect(memory.solutions.searches).toBe(searches);
  }
}, 120_000);
