import { describe, expect, test } from "vitest";
import { harpPreset } from "../../shared/harp/instruments.ts";
import { openTuning } from "../../shared/harp/tunings.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { stopOnPain } from "../../shared/service/cautions.ts";
import { type LevelFacts, levelFacts } from "../../shared/service/level.ts";
import { levelText } from "../../shared/service/levelText.ts";
import { mergedSettings, readSettings, type Settings } from "../../shared/service/settings.ts";
import { LineIndex } from "../../shared/text/lineIndex.ts";
import { demoText } from "../support/demo.ts";
import { tinyScore } from "../support/tinyScore.ts";

const facts = (notation: string, settings: Settings = {}): LevelFacts =>
  levelFacts(analyse(tinyScore(notation).text, settings))!;

/** At 100 quarter notes a minute a quarter note lasts 0.6 s. */
const piece =
  "R: (C4:3 D4:2 (E4:1) F4:3 G4:2 (A4:1) G4:2 F4:3) | C4:3+E4:2+G4:1/1 F3:4+D4:2+A4:1/2!roll C5:2/1!harmonic // L: C3:4+G3:2/2 r/2 | r/1 D3:4/1/2 A3:1/1/2 C3:4/1 r/1";

describe("the facts of a fingered piece", () => {
  const found = facts(piece);
  const [right, left] = found.hands;

  test("fingers, reaches in steps, harmonics and register", () => {
    expect(right!.fingers).toEqual([1, 2, 3, 4]);
    expect(left!.fingers).toEqual([1, 2, 4]);
    // C4 to G4 is a fifth, F3 to A4 a tenth, C4 to E4 a third; C3 to G3 a fifth, D3 to A3 too, A3 to C3 a sixth.
    expect(right!.widest).toEqual({
      struck: { steps: 4, bar: "2" },
      rolled: { steps: 9, bar: "2" },
      inTurn: { steps: 2, bar: "1" },
    });
    expect(left!.widest).toEqual({
      struck: { steps: 4, bar: "1" },
      rolled: undefined,
      inTurn: { steps: 5, bar: "2" },
    });
    expect([right!.harmonics, left!.harmonics]).toEqual([1, 0]);
    expect(found.register).toEqual({ lowest: "C3", highest: "C5", strings: 15 });
    expect(left!.register).toEqual({ lowest: "C3", highest: "A3", strings: 6 });
  });

  test("crossings by what passes, joints, and the least time to place anew", () => {
    expect(right!.crossings).toEqual({ "3 under 1": 1 });
    expect(left!.crossings).toEqual({});
    // A crossing to F4, a turn on A4, then three chords and notes that are placed anew.
    expect(right!.joints).toEqual({ separate: 3, overlap: 1, cross: 1 });
    expect(right!.connectedShare).toBe(2 / 5);
    expect(left!.connectedShare).toBe(1 / 2);
    // From F4 at the end of bar 1, half a quarter note; from beat 1 of bar 1 to beat 2 of bar 2, five.
    expect(right!.shortestReplacing).toEqual({ milliseconds: 300, bar: "2" });
    expect(left!.shortestReplacing).toEqual({ milliseconds: 3000, bar: "2" });
  });

  test("independent rhythms are those in which each hand has an onset of its own", () => {
    expect(found.rhythm).toEqual({ bars: 2, independentBars: 1 });
    expect(facts("R: C4/2 E4/2 // L: C3/1 G3/1 C3/1 G3/1").rhythm).toEqual({ bars: 1, independentBars: 0 });
    expect(facts("R: C4/4").rhythm).toEqual({ bars: 0, independentBars: 0 });
  });

  test("tempo, as stated or assumed, and how much is printed", () => {
    expect(found.tempo).toEqual({ slowest: 100, fastest: 100, stated: true });
    expect([found.notes, found.printedFingers, found.bars]).toEqual([20, 20, 2]);
    const silent = tinyScore("C4:1 D4")
      .text.replace(/<direction placement="above">\s*<direction-type>\s*<metronome>[\s\S]*?<\/direction>/, "")
      .replace(/<sound tempo[^>]*>/, "");
    const assumed = levelFacts(analyse(silent, { tempo: 72 }))!;
    expect(assumed.tempo).toEqual({ slowest: 72, fastest: 72, stated: false });
    expect([assumed.notes, assumed.printedFingers]).toEqual([2, 1]);
  });

  test("a thumb over a finger is a crossing too", () => {
    const [hand] = facts("(A4:1 G4:2 (F4:3) E4:1 D4:2 C4:3)/1.5").hands;
    expect(hand!.crossings).toEqual({ "1 over 3": 1 });
  });

  test("both hands leap at once: that is told once", () => {
    const leaps = facts("R: C4:2/1 r/1/2 C6:2/1/2 r/2 // L: C3:2/1 r/1/2 C2:2/1/2 r/2");
    expect(leaps.bothHandsLook).toBe(1);
    expect(facts("R: C4:2/1 C6:2/1 r/2 // L: C3:2/4").bothHandsLook).toBe(0);
  });

  test("levers, on a lever harp whose tuning is told", () => {
    const settings = { instrument: { harp: harpPreset("lever-34")!, open: openTuning("C")! } };
    const moved = facts("F4/4 | G4/4 | F#4/4 | F4/1 G4/3", settings);
    // F4 rings for two bars before its lever goes up, and for one before it goes down.
    expect(moved.levers).toEqual({ changes: 2, shortest: { milliseconds: 2400, bar: "4" }, withoutTime: 0 });
    expect(levelText(moved)).toMatch(/^ {2}lever changes +2, the least time 2\.40 s \(bar 4\)$/m);
    expect(facts("F4/4", settings).levers).toEqual({ changes: 0, shortest: undefined, withoutTime: 0 });
    expect(facts("F4/4 | F#4/4").levers).toBeUndefined();
    const levels = [{ name: "one lever", atMost: { leverChanges: 1 } }, { name: "more" }];
    expect(facts("F4/4 | F#4/4", { ...settings, levels }).label).toBe("one lever");
    expect(facts("F4/4 | F#4/4 | F4/4", { ...settings, levels }).label).toBe("more");
  });

  test("without a harp, or a note, there are none", () => {
    expect(levelFacts(analyse("<score-partwise/>"))).toBeUndefined();
    expect(levelFacts(analyse(tinyScore("r/4").text))).toBeUndefined();
  });
});

test("the player's level shows: three fingers are enough for a player who has three", () => {
  expect(facts("C4 E4 G4 C5/2.5").hands[0]!.fingers).toEqual([1, 2, 3, 4]);
  expect(facts("C4 E4 G4 C5/2.5", { profile: { level: 3 } }).hands[0]!.fingers).toEqual([1, 2, 3]);
});

describe("names from a table", () => {
  const levels = [
    { name: "first pieces", atMost: { fingers: 3, crossings: 0 } },
    {
      name: "second book",
      atMost: { crossings: 1, rolledSteps: 9 },
      atLeast: { replacingMilliseconds: 300 },
    },
    { name: "all others" },
  ];

  test("the first level whose limits all hold is the piece's; without a table there is none", () => {
    expect(facts(piece).label).toBeUndefined();
    expect(facts(piece, { levels }).label).toBe("second book");
    expect(facts("C4:3 D4:2 E4:1 r/2.5", { levels }).label).toBe("first pieces");
    const stricter = levels.map((level) => ({ ...level, atLeast: { replacingMilliseconds: 301 } }));
    expect(facts(piece, { levels: stricter.slice(0, 2) }).label).toBeUndefined();
  });

  test.each([
    ["fingers", 4],
    ["struckSteps", 4],
    ["rolledSteps", 9],
    ["inTurnSteps", 5],
    ["crossings", 1],
    ["separateJoints", 4],
    ["bothHandsLook", 0],
    ["independentBars", 1],
    ["strings", 15],
    ["harmonics", 1],
    ["tempo", 100],
    ["bars", 2],
  ])("%s may be %s at most", (name, value) => {
    const label = (limit: number) =>
      facts(piece, { levels: [{ name: "so", atMost: { [name]: limit } }] }).label;
    expect(label(value)).toBe("so");
    if (value > 0) expect(label(value - 0.5)).toBeUndefined();
  });

  test("the nearest table takes the place of those above", () => {
    const file = (value: object) => ({ scorePath: "a.xml", file: readSettings(JSON.stringify(value)) });
    const near = [{ name: "ours" }];
    expect(mergedSettings([file({ levels }), file({ levels: near })]).levels).toEqual(near);
    expect(mergedSettings([file({ levels }), file({ tempo: 60 })]).levels).toEqual(levels);
  });

  test.each([
    ['{ "levels": [{ "atMost": { "fingers": 3 } }] }', '1:14 "levels" needs "name".'],
    [
      '{ "levels": [{ "name": "a", "atMost": { "finger": 3 } }] }',
      'There is no "finger" in "levels.atMost". Did you mean "fingers"?',
    ],
    [
      '{ "levels": [{ "name": "a", "atMost": { "fingers": "3" } }] }',
      '1:52 "levels.atMost.fingers" must be a number',
    ],
  ])("%s is told at its place", (text, message) => {
    const [problem] = readSettings(text).problems;
    const { line, column } = new LineIndex(text).place(problem!.span.start);
    expect(`${line}:${column} ${problem!.message}`).toContain(message);
  });
});

test("as text it is a table with the caution below", () => {
  const text = levelText(facts(piece, { levels: [{ name: "ours" }] }));
  const lines = text.trimEnd().split("\n");
  expect(lines[0]).toMatch(/^ {2}level +ours$/);
  expect(text).toMatch(/^ {2}widest rolled +right tenth \(bar 2\); left none$/m);
  expect(text).toMatch(/^ {2}crossings +right 1 of 3 under 1; left none$/m);
  expect(text).toMatch(/^ {2}stays on the strings +right 40% of 5 joints; left 50% of 2 joints$/m);
  expect(text).toMatch(/^ {2}shortest re-placing +right 0\.30 s \(bar 2\); left 3\.00 s \(bar 2\)$/m);
  expect(lines.at(-1)).toBe(`  ${stopOnPain}`);
});

test("a demo piece has fewer crossings than joints, and shares from 0 to 1", () => {
  for (const name of ["lantern-waltz", "evening-tide", "millrace-reel"] as const) {
    const found = levelFacts(analyse(demoText(name)))!;
    for (const { joints, crossings, connectedShare } of found.hands) {
      expect(Object.values(crossings).reduce((sum, count) => sum + count, 0)).toBe(joints.cross);
      expect(connectedShare).toBeGreaterThanOrEqual(0);
      expect(connectedShare).toBeLessThanOrEqual(1);
    }
    expect(found.rhythm.independentBars).toBeLessThanOrEqual(found.rhythm.bars);
  }
}, 120_000);
