import { describe, expect, test } from "vitest";
import { weightsFor } from "../../shared/fingering/profile.ts";
import { defaultWeights } from "../../shared/fingering/weights.ts";
import { harpPreset } from "../../shared/harp/instruments.ts";
import { rules } from "../../shared/rules/registry.ts";
import { analyse } from "../../shared/service/analyse.ts";
import {
  mergedSettings,
  playerOf,
  readProfile,
  readSettings,
  type Settings,
} from "../../shared/service/settings.ts";
import { LineIndex } from "../../shared/text/lineIndex.ts";
import type { Problem } from "../../shared/text/problem.ts";
import { tinyScore } from "../support/tinyScore.ts";

/** `line:column message`, as editors count. */
function told(text: string, problems: readonly Problem[]): string[] {
  const lines = new LineIndex(text);
  return problems.map(({ span, message }) => {
    const { line, column } = lines.place(span.start);
    return `${line}:${column} ${message}`;
  });
}

const problemsOf = (text: string): string[] => told(text, readSettings(text).problems);

/** Files from the outermost in: the score's path from each, and what the file says. */
function merged(...files: readonly (readonly [scorePath: string, written: object])[]): Settings {
  return mergedSettings(
    files.map(([scorePath, written]) => {
      const file = readSettings(JSON.stringify(written));
      expect(file.problems).toEqual([]);
      return { scorePath, file };
    }),
  );
}

describe("what is wrong is told at its place, with what was meant", () => {
  test("a name that there is not", () => {
    const text = '{\n  "profil": "small-hand",\n  "profile": { "handd": "small" }\n}';
    const [first, second] = problemsOf(text);
    expect(first).toContain('2:3 There is no "profil". Did you mean "profile"?');
    expect(second).toContain('3:16 There is no "handd" in "profile". Did you mean "hand"?');
  });

  test("a rule that there is not, and a severity that there is not", () => {
    const { id } = rules[0]!;
    expect(problemsOf(`{ "severity": { "${id}s": "off" } }`)[0]).toContain(`Did you mean "${id}"?`);
    expect(problemsOf(`{ "severity": { "${id}": "warn" } }`)).toEqual([
      `1:${20 + id.length + 1} "severity.${id}" cannot be "warn". Did you mean "warning"? It can be "off", "info", "warning" or "error".`,
    ]);
  });

  test.each([
    [
      '{ "placings": "slurs" }',
      '1:15 "placings" cannot be "slurs". Did you mean "lines"? It can be "brackets" or "lines".',
    ],
    [
      '{ "print": { "fingers": "some" } }',
      /^1:25 "print\.fingers" cannot be "some"\. .* It can be "every" or "decisions"\.$/,
    ],
    ['{ "tempo": "fast" }', '1:12 "tempo" must be a number from 10 to 400.'],
    ['{ "tempo": 5 }', '1:12 "tempo" must be a number from 10 to 400, not 5.'],
    ['{ "profile": 3 }', /^1:14 "profile" must be "usual", .*, or settings between braces \{ \}\.$/],
    ['{ "profile": "smallhand" }', /cannot be "smallhand"\. Did you mean "small-hand"\?/],
    ['{ "profile": { "level": 5 } }', '1:25 "profile.level" cannot be 5. It can be 2, 3 or 4.'],
    [
      '{ "profile": { "weights": { "cros.3": 1 } } }',
      /There is no "cros\.3" in "profile\.weights"\. Did you mean "cross\.3"\?/,
    ],
    [
      '{ "profile": { "weights": { "base": 0.5 } } }',
      /"profile\.weights\.base" must be a whole number from 0/,
    ],
    ['{ "harp": "lever-35" }', /Did you mean "lever-3[4-6]"\?/],
    ['{ "harp": { "lowest": "H1", "strings": 36 } }', /^1:23 The lowest string is a letter and an octave/],
    ['{ "harp": { "lowest": "A1" } }', /^1:11 Describe the harp by its "kind"/],
    ['{ "overrides": [ { "tempo": 60 } ] }', '1:18 "overrides" needs "files".'],
    ['{ "overrides": [ { "files": "../other/**" } ] }', /^1:29 A pattern names files below/],
    ['{ "overrides": [ { "files": "a\\\\b" } ] }', /^1:29 A pattern names files below/],
    ['{ "hands": { "staves": [] } }', '1:24 "hands.staves" must have at least one entry.'],
    ['{ "tempo": 60, "tempo": 70 }', '1:16 "tempo" stands here twice. Take one of them out.'],
    ['{ "tempo": 60', "1:14 A closing brace } is missing."],
    ['{ "tempo" 60 }', "1:11 A colon is expected here."],
    ['{ "tempo": 60 "part": "P1" }', "1:15 A comma is missing before this."],
    ["{ tempo: 60 }", /^1:3 /],
    ['{ "tempo": 60, }', "1:16 A setting's name is expected here, between double quotes."],
    ['{ // slow\n "tempo": 60 }', "1:3 JSON has no comments. Take this out."],
    ["", "1:1 A value is expected here."],
    ["[]", "1:1 This must be settings between braces { }."],
  ])("%s", (text, message) => {
    const problems = problemsOf(text);
    expect(problems).toHaveLength(1);
    if (typeof message === "string") expect(problems[0]).toBe(message);
    else expect(problems[0]).toMatch(message);
  });

  test("the rest of the file counts all the same", () => {
    const file = readSettings('{ "tempo": "fast", "part": "P2", "profile": { "hand": "tiny", "level": 3 } }');
    expect(file.written).toEqual({ part: "P2", profile: { level: 3 } });
  });

  test("a byte order mark is none of it", () => {
    const text = '\uFEFF{ "tempo": 60, "x": 1 }';
    expect(readSettings(text).written).toEqual({ tempo: 60 });
    expect(problemsOf(text)[0]).toContain('1:17 There is no "x"');
  });

  test("no text makes it throw, and problems lie inside the text", () => {
    const whole =
      '{ "tempo": 60, "profile": { "weights": { "base": 500 } }, "overrides": [ { "files": ["a"] } ] }';
    for (let end = 0; end <= whole.length; end += 1) {
      for (const text of [
        whole.slice(0, end),
        whole.slice(end),
        `${whole.slice(0, end)}}${whole.slice(end)}`,
      ]) {
        for (const { span } of readSettings(text).problems) {
          expect(span.start).toBeGreaterThanOrEqual(0);
          expect(span.end).toBeLessThanOrEqual(text.length);
          expect(span.end).toBeGreaterThanOrEqual(span.start);
        }
      }
    }
  });

  test("a profile in a file of its own is read the same way", () => {
    expect(readProfile('{ "hand": "small", "weights": { "base": 400 } }')).toEqual({
      profile: { hand: "small", weights: { base: 400 } },
      problems: [],
    });
    const text = '{ "hnd": "small" }';
    expect(told(text, readProfile(text).problems)[0]).toContain(
      '1:3 There is no "hnd". Did you mean "hand"?',
    );
  });
});

describe("several files", () => {
  test("none says nothing", () => {
    expect(mergedSettings([])).toEqual({});
  });

  test("the nearest goes before those above it, name by name", () => {
    expect(
      merged(
        ["a/b.mxl", { tempo: 60, part: "P1", severity: { x1: undefined }, print: { fingers: "decisions" } }],
        ["b.mxl", { tempo: 72, print: { crossings: "nextGroup" }, hands: { crossStaff: "voice" } }],
      ),
    ).toEqual({
      tempo: 72,
      part: "P1",
      severity: {},
      print: { fingers: "decisions", crossings: "nextGroup" },
      hands: { crossStaff: "voice" },
    });
  });

  test("profiles add up, and a named one begins anew", () => {
    const above = { profile: { level: 3, weights: { base: 700 } } };
    expect(
      merged(["a/b", above], ["b", { profile: { hand: "small", weights: { skip: 1 } } }]).profile,
    ).toEqual({
      level: 3,
      hand: "small",
      weights: { base: 700, skip: 1 },
    });
    expect(merged(["a/b", above], ["b", { profile: "small-hand" }]).profile).toEqual({ hand: "small" });
    expect(merged(["a/b", { profile: "small-hand" }], ["b", { profile: { level: 2 } }]).profile).toEqual({
      hand: "small",
      level: 2,
    });
  });

  test("severities add up rule by rule", () => {
    const [a, b] = rules.map(({ id }) => id) as [string, string];
    expect(
      merged(["x/y", { severity: { [a]: "off", [b]: "info" } }], ["y", { severity: { [b]: "error" } }])
        .severity,
    ).toEqual({ [a]: "off", [b]: "error" });
  });

  test("what lies above a root does not count", () => {
    expect(
      merged(["a/b/c", { tempo: 60 }], ["b/c", { root: true, part: "P1" }], ["c", { placings: "brackets" }]),
    ).toEqual({ part: "P1", placings: "brackets" });
  });

  test("the harp is a kind, a kind with something else, or one's own", () => {
    expect(merged(["a", { harp: "lever-34" }]).instrument).toEqual({ harp: harpPreset("lever-34") });
    expect(
      merged(["a", { harp: { kind: "lever-36", lowest: "A1", tuning: "Eb" } }]).instrument,
    ).toMatchObject({
      harp: { lowest: 12, count: 36, mechanism: "lever" },
      open: { name: "Eb" },
    });
    expect(
      merged(["a", { harp: { lowest: "A1", strings: 36, spacingMm: 13, levers: "FC" } }]).instrument,
    ).toEqual({
      harp: { lowest: 12, count: 36, mechanism: "lever", spacingMm: 13 },
      levers: ["F", "C"],
    });
  });
});

describe("settings for some scores only", () => {
  const own = {
    tempo: 60,
    overrides: [
      { files: "drafts/**", tempo: 80, profile: { level: 3 } },
      { files: ["*.mxl", "solo/*.xml"], tempo: 100 },
    ],
  };

  test.each([
    ["a.musicxml", 60],
    ["drafts/a.musicxml", 80],
    ["drafts/old/a.musicxml", 80],
    // The later one goes first, and a pattern without a slash is about names.
    ["drafts/a.mxl", 100],
    ["solo/deep/a.mxl", 100],
    ["solo/a.xml", 100],
    ["solo/deep/a.xml", 60],
    ["other/drafts/a.musicxml", 60],
    [".hidden/a.mxl", 100],
  ])("%s is read at %i", (path, tempo) => {
    expect(merged([path, own]).tempo).toBe(tempo);
  });

  test("what is printed and read, too, follows the override, and the nearer file before it", () => {
    const above = {
      placings: "lines",
      hands: { marks: "ignore" },
      overrides: [{ files: "parts/**", print: { fingers: "decisions", crossings: "nextGroup" } }],
    };
    expect(merged(["parts/a.xml", above], ["a.xml", { print: { fingers: "every" } }])).toEqual({
      placings: "lines",
      hands: { marks: "ignore" },
      print: { fingers: "every", crossings: "nextGroup" },
    });
    expect(merged(["full/a.xml", above])).toEqual({ placings: "lines", hands: { marks: "ignore" } });
  });

  test("a nearer file goes before an override further up", () => {
    expect(merged(["drafts/a.musicxml", own], ["a.musicxml", { tempo: 50 }])).toMatchObject({
      tempo: 50,
      profile: { level: 3 },
    });
  });

  test("patterns that are no patterns match nothing and break nothing", () => {
    for (const files of ["[", "(", "**/**/{", "!(a)", "+(a|b"])
      expect(merged(["x", { overrides: [{ files }] }])).toEqual({});
  });
});

describe("what a score is read with", () => {
  const octave = tinyScore("C4+C5/4:1 D4/4").text;

  test("nothing chosen: the usual table, no harp", () => {
    const { weights, profile, instrument } = analyse(octave);
    expect(weights).toEqual(defaultWeights);
    expect(profile).toEqual({});
    expect(instrument).toBeUndefined();
  });

  test("the profile gives the table, the harp its spacing", () => {
    expect(analyse(octave, { profile: { level: 3 } }).weights).toEqual(weightsFor({ level: 3 }));
    const harp = merged(["a", { harp: "lap-22" }]);
    expect(analyse(octave, harp).weights).toEqual(weightsFor({ spacingMm: 14 }));
    expect(playerOf({ ...harp, profile: { spacingMm: 16 } })).toEqual({ spacingMm: 16 });
    expect(analyse(octave, { profile: { level: 3 }, weights: defaultWeights }).weights).toEqual(
      defaultWeights,
    );
  });

  test("the tempo counts where the score has none, and is told", () => {
    const timeless = octave.replace(/<direction[\s>](?:(?!<\/direction>)[\s\S])*<\/direction>/g, "");
    const times = (text: string, tempo: number) =>
      analyse(text, { tempo }).hands[0]!.line.events.map(({ atMicros }) => atMicros);
    expect(analyse(timeless, { tempo: 48 }).assumptions.join(" ")).toContain("48 quarter notes a minute");
    expect(times(timeless, 48)).toEqual(times(timeless, 96).map((micros) => 2 * micros));
    expect(times(octave, 48)).toEqual(times(octave, 96));
  });
});

describe("severities", () => {
  const bad = tinyScore("C4/4:5 D4/4").text;
  const found = analyse(bad).findings;

  test("change what a finding counts as, or turn its rule off", () => {
    const rule = found[0]!.rule;
    const severities = (severity: Settings["severity"]) =>
      analyse(bad, { severity })
        .findings.filter((finding) => finding.rule === rule)
        .map((finding) => finding.severity);
    expect(severities({ [rule]: "info" })).toContain("info");
    expect(severities({ [rule]: "error" })).toContain("error");
    expect(severities({ [rule]: "off" })).toEqual([]);
    expect(severities({})).toEqual(
      found.filter((finding) => finding.rule === rule).map(({ severity }) => severity),
    );
  });
});
