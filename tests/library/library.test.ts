import { execFileSync } from "node:child_process";
import { mkdirSync, readFileSync, symlinkSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import {
  applyEdits,
  check,
  compare,
  finger,
  passages,
  readScore,
  toBytes,
} from "../../shared/library/library.ts";
import { builtFile, projectFolder } from "../support/built.ts";
import { placewright, temporaryFolder } from "../support/commandLine.ts";
import { demoText } from "../support/demo.ts";
import { withoutFingering } from "../support/libxml.ts";
import { tinyScore } from "../support/tinyScore.ts";

const waltz = demoText("lantern-waltz");
const reel = demoText("millrace-reel");

test("finds what the command finds, at the same places", async () => {
  const { findings } = check(readScore(waltz));
  const { out } = await placewright(["check", "-"], waltz);
  const lines = findings.map(
    ({ range: { start }, severity, rule, message }) =>
      `<stdin>:${start.line}:${start.column}: ${severity} ${rule}: ${message}`,
  );
  expect(out.split("\n").slice(0, lines.length)).toEqual(lines);
  expect(findings[0]).toMatchObject({ rule: "passage-fingered-otherwise", hand: "right", bar: "2" });
});

test("a repair takes its finding away", () => {
  const score = readScore(waltz);
  const [first] = check(score).findings;
  const repaired = applyEdits(score, first!.fixes[0]!.edits());
  expect(check(readScore(repaired)).findings.map(({ message }) => message)).not.toContain(first!.message);
});

test("fingers as the command does, and says the caution", async () => {
  const score = readScore(reel);
  const found = finger(score);
  const text = applyEdits(score, found.edits);
  expect(text).toBe((await placewright(["finger", "-"], reel)).out);
  expect(withoutFingering(Buffer.from(text))).toBe(withoutFingering(Buffer.from(reel)));
  const notes = found.hands.flatMap((hand) => hand.notes);
  expect(notes).toHaveLength(285);
  expect(notes[0]).toMatchObject({
    bar: expect.any(String),
    beat: expect.any(String),
    finger: expect.any(Number),
  });
  expect(found.caution).toMatch(/pain/);
  expect(found.warnings.length).toBeGreaterThan(0);
});

test("bars and hands can be chosen", () => {
  const { edits } = finger(readScore(reel), { bars: { first: "3", last: "4" }, hand: "right" });
  expect(edits.length).toBeGreaterThan(0);
  const measure = (number: number): number => reel.indexOf(`<measure number="${number}"`);
  for (const { start } of edits) {
    expect(start).toBeGreaterThan(measure(3));
    expect(start).toBeLessThan(measure(5));
  }
  expect(() => finger(readScore(reel), { bars: { first: "900", last: "901" } })).toThrow(/900/);
});

test("passages and editions", () => {
  expect(passages(readScore(waltz))[0]).toMatchObject({ name: "A", kind: "exact" });
  const score = readScore(reel);
  const fingered = readScore(applyEdits(score, finger(score).edits));
  expect(compare(score, score).changes).toEqual([]);
  const kinds = new Set(compare(score, fingered).changes.map(({ kind }) => kind));
  expect([...kinds].sort()).toEqual(["bracket", "fingers"]);
});

test("settings are those of the settings file, and a wrong one is told", () => {
  const { text } = tinyScore("C4/4:5 D4/4:2");
  expect(check(readScore(text)).findings.map(({ rule }) => rule)).toContain("finger-outside-range");
  const off = { severity: { "finger-outside-range": "off" } };
  expect(check(readScore(text, off)).findings.map(({ rule }) => rule)).not.toContain("finger-outside-range");
  expect(() => readScore(text, { tempos: 60 })).toThrow(/There is no "tempos"/);
});

test("bytes go back as they came", () => {
  const utf16 = Buffer.from(`\ufeff${reel.replace("UTF-8", "UTF-16")}`, "utf16le");
  const score = readScore(utf16);
  expect(Buffer.from(toBytes(score, score.text)).equals(utf16)).toBe(true);
  const text = applyEdits(score, finger(score).edits);
  expect(readScore(toBytes(score, text)).text).toBe(text);
});

test("edits of anything else, and objects that are no scores, are refused", () => {
  const score = readScore(reel);
  const at = reel.indexOf("<step>") + "<step>".length;
  expect(() => applyEdits(score, [{ start: at, end: at + 1, text: "B" }])).toThrow();
  expect(() => check({ ...score })).toThrow(/readScore/);
  const broken = readScore("<score-partwise><part-list>");
  expect(broken.problems[0]!.severity).toBe("error");
  expect(check(broken).findings).toEqual([]);
  expect(() => finger(broken)).toThrow();
});

test("a program that has the package alone: types and values", { timeout: 120_000 }, () => {
  const folder = temporaryFolder();
  const packed = execFileSync("npm", ["pack", "--silent", "--pack-destination", folder], {
    cwd: projectFolder,
    encoding: "utf8",
  }).trim();
  mkdirSync(join(folder, "node_modules"));
  execFileSync("tar", ["xzf", join(folder, packed)], { cwd: folder });
  symlinkSync(join(folder, "package"), join(folder, "node_modules", "placewright"), "dir");
  writeFileSync(join(folder, "reel.musicxml"), reel);
  const program = `import { readFileSync } from "node:fs";
import { applyEdits, type FingerResult, finger, readScore } from "placewright";
const score = readScore(readFileSync("reel.musicxml"));
const found: FingerResult = finger(score);
process.stdout.write(String(applyEdits(score, found.edits).length));
`;
  writeFileSync(join(folder, "program.mts"), program);
  const config = {
    compilerOptions: {
      target: "ES2022",
      module: "NodeNext",
      strict: true,
      outDir: "out",
      types: ["node"],
      typeRoots: [join(projectFolder, "node_modules/@types")],
    },
    files: ["program.mts"],
  };
  writeFileSync(join(folder, "tsconfig.json"), JSON.stringify(config));
  execFileSync(join(projectFolder, "node_modules/.bin/tsc"), ["-p", folder], { encoding: "utf8" });
  const length = execFileSync(process.execPath, [join("out", "program.mjs")], {
    cwd: folder,
    encoding: "utf8",
  });
  expect(Number(length)).toBeGreaterThan(reel.length);
});

test("no part of Node is in it", () => {
  const module = readFileSync(builtFile("library.mjs"), "utf8");
  expect(module).not.toMatch(/from\s*["']node:|require\(["']/);
});
