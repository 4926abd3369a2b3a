import { describe, expect, test } from "vitest";
import { decodeScoreFile } from "../../shared/musicxml/scoreFile.ts";
import { rules } from "../../shared/rules/registry.ts";
import {
  type AcceptedEntry,
  addedEntries,
  plainReason,
  type ReadEntry,
  readAccepted,
} from "../../shared/service/acceptedFile.ts";
import { entryFor } from "../../shared/service/acceptFindings.ts";
import { type Analysis, analyse } from "../../shared/service/analyse.ts";
import { applyEdits } from "../../shared/text/edits.ts";
import { InputError } from "../../shared/text/problem.ts";
import { textHash } from "../../shared/text/textHash.ts";
import { corpusFile, hasCorpus, noCorpus } from "../support/corpus.ts";
import { demoText } from "../support/demo.ts";
import { reserialised } from "../support/reserialised.ts";
import { tinyScore } from "../support/tinyScore.ts";

const passageRule = "passage-fingered-otherwise";
const tune = "C4:4 D4:3 E4:2 G4:1 F4:2 D4:3 B3:4/1";
const otherwise = tune.replace("F4:2 D4:3 B3:4", "F4:1 D4:2 B3:3");
const between = "E4:2+G4:1/2 D4:2+F4:1/2";
const after = "C4:4+E4:3+G4:2+C5:1/4";
const piece = (...bars: string[]): string => tinyScore(bars.join(" | ")).text;
const twice = piece(tune, between, otherwise, after);

const found = ({ findings, accepted }: Analysis) => [...findings, ...accepted.map(({ finding }) => finding)];

/** Entries for all findings of a rule, or for those that are chosen. */
function entriesFor(text: string, rule: string, chosen = (_: number): boolean => true): ReadEntry[] {
  const analysis = analyse(text);
  return analysis.findings
    .filter((finding) => finding.rule === rule)
    .filter((_, i) => chosen(i))
    .map((finding) => asRead(entryFor(analysis, found(analysis), finding, plainReason)));
}

const asRead = (entry: AcceptedEntry): ReadEntry => ({ ...entry, score: "a", span: { start: 0, end: 0 } });
const rulesFound = (text: string, accepted: readonly ReadEntry[]): string[] =>
  analyse(text, { accepted }).findings.map(({ rule }) => rule);
const unmatched = (text: string, accepted: readonly ReadEntry[]): number =>
  analyse(text, { accepted }).unmatched.length;

/** What is expected of a text in which the accepted finding is to stay quiet. */
function expectQuiet(text: string, entries: readonly ReadEntry[], rule = passageRule): void {
  expect(analyse(text).findings.map((finding) => finding.rule)).toContain(rule);
  expect(rulesFound(text, entries)).not.toContain(rule);
  expect(unmatched(text, entries)).toBe(0);
}

function expectBack(text: string, entries: readonly ReadEntry[], rule = passageRule): void {
  expect(rulesFound(text, entries)).toContain(rule);
  expect(unmatched(text, entries)).toBe(entries.length);
}

describe("an accepted passage", () => {
  const entries = entriesFor(twice, passageRule);

  test("is quiet, and nothing new is found", () => {
    expect(entries).toHaveLength(1);
    const before = analyse(twice).findings;
    const now = analyse(twice, { accepted: entries });
    expect(now.findings).toEqual(before.filter(({ rule }) => rule !== passageRule).map(withFixes));
    expect(now.accepted.map(({ finding, entry }) => [finding.rule, entry.reason])).toEqual([
      [passageRule, plainReason],
    ]);
  });

  test("stays so with bars before it, between its places, and another title", () => {
    expectQuiet(piece("A4:1 G4:2 A4:1 B4:1/2.5", tune, between, otherwise, after), entries);
    expectQuiet(piece("r/4", "r/4", tune, between, "E4:2+G4:1/4", otherwise, after), entries);
    expectQuiet(twice.replace("<part-list>", "<movement-title>New</movement-title><part-list>"), entries);
  });

  test("stays so when another program has written the file anew", () => {
    expectQuiet(reserialised(twice), entries);
  });

  test.each([
    ["a finger of the first place", piece(tune.replace("F4:2", "F4:3"), between, otherwise, after)],
    ["a finger of the second place", piece(tune, between, otherwise.replace("C4:4", "C4:3"), after)],
    ["a note", piece(tune.replace("E4:2", "E#4:2"), between, otherwise.replace("E4:2", "E#4:2"), after)],
    [
      "the rhythm",
      piece(tune.replace("D4:3", "D4/1:3"), between, otherwise.replace("D4:3", "D4/1:3"), after),
    ],
  ])("comes back when %s changes", (_, text) => {
    const now = analyse(text, { accepted: entries });
    expect(now.accepted).toEqual([]);
    expect(now.unmatched).toEqual(entries);
  });

  test("comes back when it is bracketed", () => {
    const bracketed = tune.replace("C4:4 D4:3 E4:2 G4:1", "(C4:4 D4:3 E4:2 G4:1)");
    expectBack(piece(bracketed, between, otherwise, after), entries);
  });

  test("comes back when a third place has changed sides", () => {
    const thrice = (third: string): string => piece(tune, between, otherwise, after, third, between);
    const own = entriesFor(thrice(tune), passageRule);
    expectQuiet(thrice(tune), own);
    expectBack(thrice(otherwise), own);
  });
});

/** Fixes are functions, which are never equal. */
const withFixes = (finding: Analysis["findings"][number]) => ({
  ...finding,
  fixes: finding.fixes.map((fix) => ({ ...fix, edits: expect.any(Function) })),
});

describe("an accepted place", () => {
  const rule = "finger-outside-range";
  const score = tinyScore("C4:1 D4:5 E4 F4:1/2.5").text;
  const entries = entriesFor(score, rule);

  test("stays so in another bar, in a file that was written anew, and with another voice on the staff", () => {
    expectQuiet(tinyScore("G4/4 | C4:1 D4:5 E4 F4:1/2.5").text, entries, rule);
    expectQuiet(tinyScore("C4:1 D4:5 E4 F4:1/2.5 // L: C3:4/4").text, entries, rule);
    expectQuiet(reserialised(score), entries, rule);
  });

  test.each([
    ["the finger", "C4:1 D4:6 E4 F4:1/2.5"],
    ["a finger beside it", "C4:2 D4:5 E4 F4:1/2.5"],
    ["the note", "C4:1 D#4:5 E4 F4:1/2.5"],
    ["a note beside it", "C4:1 D4:5 G4 F4:1/2.5"],
    ["the time to the next note", "C4:1 D4/1:5 E4 F4:1/2"],
    ["a bracket over it", "(C4:1 D4:5) E4 F4:1/2.5"],
    ["how it is played", "C4:1 D4!harmonic:5 E4 F4:1/2.5"],
  ])("comes back when %s changes", (_, notation) => {
    expectBack(tinyScore(notation).text, entries, rule);
  });

  test("what lies farther off in its bar, in the next bar, or in the other hand is no part of it", () => {
    for (const notation of ["C4:1 D4:5 E4 F4:1 G4", "C4:1 D4:5 E4 F4:1/2.5 | C5"]) {
      expectQuiet(tinyScore(notation).text, entries, rule);
    }
  });

  test("of two wrong fingers in one chord only the accepted one is quiet", () => {
    const chord = tinyScore("C4:6+E4:5+G4:1/4").text;
    const [first] = entriesFor(chord, rule);
    const now = analyse(chord, { accepted: [first!] });
    expect(now.accepted.map(({ finding }) => finding.message)).toEqual([first!.finding]);
    expect(now.findings.filter((finding) => finding.rule === rule)).toHaveLength(1);
  });

  test("of places that are alike the one that is meant is quiet, and the others are not", () => {
    const bar = "C4:1 D4:5 E4 F4:1/2.5";
    const thrice = piece(bar, bar, bar);
    const second = entriesFor(thrice, rule, (i) => i === 1);
    expect(second[0]!.ordinal).toBe(2);
    const shown = (text: string): (string | undefined)[] =>
      analyse(text, { accepted: second })
        .findings.filter((finding) => finding.rule === rule)
        .map(({ bar: number }) => number);
    expect(shown(thrice)).toEqual(["1", "3"]);
    // Once one is left, it is the one that the entry is about.
    expect(shown(piece("C4:1 D4:2 E4 F4:1/2.5", bar, "C4:1 D4:2 E4 F4:1/2.5"))).toEqual([]);
    expectQuiet(thrice, entriesFor(thrice, rule), rule);
  });

  test("an entry of a rule that is off is not missed", () => {
    expect(analyse(score, { accepted: entries, severity: { [rule]: "off" } }).unmatched).toEqual([]);
  });
});

test("the bad example of every rule can be accepted, outlives another program, and comes back when a finger changes", () => {
  for (const rule of rules) {
    const { text } = tinyScore(rule.bad);
    const settings = rule.given ?? {};
    const analysis = analyse(text, settings);
    const own = analysis.findings.filter((finding) => finding.rule === rule.id);
    expect(own, rule.id).toHaveLength(1);
    const accepted = [asRead(entryFor(analysis, found(analysis), own[0]!, plainReason))];
    const quiet = analyse(text, { ...settings, accepted });
    expect(
      quiet.findings.map((finding) => finding.rule),
      rule.id,
    ).toEqual(analysis.findings.map((finding) => finding.rule).filter((id) => id !== rule.id));
    const rewritten = analyse(reserialised(text), { ...settings, accepted });
    // A program that writes the file anew writes it in order: nothing is left to accept.
    const isMended = rule.id === "element-out-of-order";
    expect(rewritten.unmatched, `${rule.id} after another program`).toEqual(isMended ? accepted : []);
    expect(
      rewritten.findings.map((finding) => finding.rule),
      rule.id,
    ).not.toContain(rule.id);
    for (const fix of own[0]!.fixes) {
      const mended = analyse(applyEdits(text, fix.edits()), { ...settings, accepted });
      expect(mended.accepted, `${rule.id} after ${fix.title}`).toEqual([]);
      expect(mended.unmatched).toEqual(accepted);
    }
  }
}, 120_000);

test("every finding of a demo piece outlives another program", () => {
  const text = demoText("lantern-waltz");
  const analysis = analyse(text);
  expect(analysis.findings.length).toBeGreaterThan(3);
  const accepted = analysis.findings.map((finding) =>
    asRead(entryFor(analysis, found(analysis), finding, plainReason)),
  );
  for (const each of [text, reserialised(text)]) {
    const now = analyse(each, { accepted });
    expect(now.findings.map(({ message }) => message)).toEqual([]);
    expect(now.unmatched).toEqual([]);
  }
}, 120_000);

describe("the file", () => {
  const [entry] = entriesFor(twice, passageRule);
  const { span: _, ...scored } = { ...entry!, score: "songs/waltz.musicxml" };

  test("an entry is one insertion, and is read as it was written", () => {
    for (const before of [
      "",
      '{ "accepted": [] }',
      '\uFEFF{\r\n\t"accepted": [\r\n\t\t{ "rule": "finger-outside-range", "score": "a.xml", "place": "0123456789abcdef", "reason": "x" }\r\n\t]\r\n}\r\n',
    ]) {
      const [edit, ...others] = addedEntries(before, [scored]);
      expect(others).toEqual([]);
      const text = applyEdits(before, [edit!]);
      const { entries, problems } = readAccepted(text);
      expect(problems).toEqual([]);
      const { span, ...read } = entries.at(-1)!;
      expect(read).toEqual(scored);
      expect(JSON.parse(text.slice(span.start, span.end))).toEqual(scored);
      // Taken out again, nothing of it is left.
      const inserted = edit!.span.start + edit!.text.length;
      expect(
        text.slice(0, edit!.span.start) +
          before.slice(edit!.span.start, edit!.span.end) +
          text.slice(inserted),
      ).toBe(before);
      if (before.includes("\r\n")) expect(text.replaceAll("\r\n", "")).not.toContain("\n");
    }
  });

  test("no text makes reading it throw; problems and entries lie inside the text, and what is added can be read", () => {
    const whole = JSON.stringify({ accepted: [scored, { ...scored, ordinal: 2 }] }, undefined, 2);
    for (let end = 0; end <= whole.length; end += 7) {
      for (const text of [
        whole.slice(0, end),
        whole.slice(end),
        `${whole.slice(0, end)}"${whole.slice(end)}`,
      ]) {
        const { entries, problems } = readAccepted(text);
        for (const { span } of [...problems, ...entries]) {
          expect(span.start).toBeGreaterThanOrEqual(0);
          expect(span.end).toBeLessThanOrEqual(text.length);
        }
        try {
          const after = readAccepted(applyEdits(text, addedEntries(text, [scored])));
          expect(after.entries.length).toBe(entries.length + 1);
        } catch (error) {
          expect(error).toBeInstanceOf(InputError);
          expect(entries).toEqual([]);
        }
      }
    }
  });

  test("a file that is no list is not written to", () => {
    for (const text of ["{", "[]", '{ "accept": [] }', '{ "accepted": 5 }']) {
      expect(() => addedEntries(text, [scored])).toThrow("cannot be added to");
    }
  });
});

// Test vectors, from memory: the FNV authors' test suite, FNV-1a 64.
test("a text's short name is its FNV-1a hash", () => {
  expect(["", "a", "foobar"].map(textHash)).toEqual([
    "cbf29ce484222325",
    "af63dc4c8601ec8c",
    "85944171f73967e8",
  ]);
});

// Real scores of many programs, written anew by musicxml-io.
describe.skipIf(!hasCorpus)(`in real scores (skipped where ${noCorpus})`, () => {
  test.each([
    "osmd/test_fingering_Simple_Chords_Treble_Bass.musicxml",
    "osmd/test_fingering_reversed_rare_1587.musicxml",
    "partitura/mozart_k265_6.mxl",
  ])(
    "every finding of %s outlives another program",
    (path) => {
      const { text } = decodeScoreFile(corpusFile(path));
      const [part] = analyse(text).score.parts.filter(({ notes }) =>
        notes.some((note) => note.fingerings.length > 0),
      );
      const settings = { part: part!.id };
      const analysis = analyse(text, settings);
      expect(analysis.findings.length).toBeGreaterThan(1);
      const accepted = analysis.findings.map((finding) =>
        asRead(entryFor(analysis, found(analysis), finding, plainReason)),
      );
      const now = analyse(reserialised(text), { ...settings, accepted });
      expect(now.findings.map(({ message }) => message)).toEqual([]);
      expect(now.unmatched).toEqual([]);
    },
    120_000,
  );
});
