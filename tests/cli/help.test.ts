import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { rules } from "../../shared/rules/registry.ts";
import { projectFolder } from "../support/built.ts";
import { placewright } from "../support/commandLine.ts";

const commands = ["check", "finger", "passages", "harp", "watch", "rules", "lsp"];

describe("help", () => {
  test("names every command and the exit codes", async () => {
    const { code, out, err } = await placewright(["--help"]);
    expect(code).toBe(0);
    expect(err).toBe("");
    for (const command of commands) expect(out).toMatch(new RegExp(`^  ${command}\\b`, "m"));
    expect(out).toContain("Exit codes: 0 nothing found, 1 findings, 2 something could not be read");
  });

  test.each([
    ["check", ["--format", "--min-severity", "--part"]],
    [
      "finger",
      ["--out", "--write", "--keep", "--fresh", "--bars", "--hand", "--part", "--explain", "--format"],
    ],
    ["passages", ["--format", "--part"]],
    ["rules", ["--help"]],
    ["lsp", ["--stdio"]],
  ])("of %s names its options and gives examples", async (command, options) => {
    const { code, out } = await placewright([command, "--help"]);
    expect(code).toBe(0);
    for (const option of options) expect(out).toMatch(new RegExp(`^  ${option}\\b`, "m"));
    expect(out).toContain(`placewright ${command}`);
    expect(out).toContain("Examples:");
  });

  test("no line is wider than a terminal of 120 columns", async () => {
    for (const args of [["--help"], ...commands.map((command) => [command, "--help"])]) {
      const { out } = await placewright(args);
      for (const line of out.split("\n")) expect(line.length, line).toBeLessThanOrEqual(120);
    }
  });

  test("without a command it goes to standard error, as a call that is wrong", async () => {
    const { code, out, err } = await placewright([]);
    expect({ code, out }).toEqual({ code: 2, out: "" });
    expect(err).toContain("Usage: placewright COMMAND");
  });

  test("the version is the package's", async () => {
    const { version } = JSON.parse(readFileSync(join(projectFolder, "package.json"), "utf8"));
    expect(await placewright(["--version"])).toEqual({ code: 0, out: `${version}\n`, err: "" });
  });
});

describe("a wrong call ends with 2 and says what would be right", () => {
  test.each([
    [["chek", "."], "There is no command chek. Did you mean check?"],
    [["--versoin"], "There is no option --versoin. Did you mean --version?"],
    [
      ["check", ".", "--min-severty", "error"],
      '"check" has no option --min-severty. Did you mean --min-severity?',
    ],
    [["finger", "a.musicxml", "--hnad", "left"], '"finger" has no option --hnad. Did you mean --hand?'],
    [["finger", "a.musicxml", "-w"], '"finger" has no option -w. Did you mean --'],
    [["check", ".", "--constructor"], '"check" has no option --constructor.'],
    [
      ["check", ".", "--format", "jsn"],
      "--format jsn is not known. Did you mean json? It takes text, json, sarif, github or junit.",
    ],
    [["check", ".", "--min-severity", "hint"], "It takes error, warning or info."],
    [["finger", "a.musicxml", "--hand", "rihgt"], "Did you mean right? It takes right, left or both."],
    [["finger", "a.musicxml", "--out"], "--out needs a value: --out FILE."],
    [["finger", "a.musicxml", "--out", "--write"], "--out needs a value: --out FILE."],
    [["finger", "a.musicxml", "--write=yes"], "--write takes no value."],
    [["check"], "Name a file or a folder to check"],
    [["finger"], "Name a score to finger"],
    [["finger", "a.musicxml", "b.musicxml"], "add --write"],
    [["finger", "a.musicxml", "--write", "--out", "b.musicxml"], "choose one place to write to"],
    [["finger", "a.musicxml", "--keep", "--fresh"], "Choose one"],
    [["finger", "-", "--write"], "standard input cannot be written back to"],
    [["finger", "a.musicxml", "--write", "--format", "json"], "would put JSON in the place of the score"],
    [["finger", "a.musicxml", "--explain", "--format", "json"], "would both go to standard output"],
    [["rules", "finger-outside-rnage"], "Did you mean finger-outside-range?"],
  ])("%s", async (args, message) => {
    const { code, out, err } = await placewright(args);
    expect({ code, out }).toEqual({ code: 2, out: "" });
    expect(err).toContain(message);
    expect(err).toMatch(/^placewright: [^\n]+\n$/);
  });
});

describe("rules", () => {
  test("are listed one a line with their severity", async () => {
    const { code, out } = await placewright(["rules"]);
    expect(code).toBe(0);
    const lines = out.trimEnd().split("\n");
    expect(lines.map((line) => line.split(" ")[0])).toEqual(rules.map(({ id }) => id));
    for (const line of lines) expect(line).toMatch(/^\S+ +(error|warning|info) +\S/);
  });

  test.each(rules.map(({ id }) => id))("%s is explained with its examples", async (id) => {
    const { code, out } = await placewright(["rules", id]);
    const rule = rules.find((candidate) => candidate.id === id)!;
    expect(code).toBe(0);
    const fixes = rule.fixes.map(({ title }) => title);
    const examples = [rule.bad, rule.good].map((example) => example.split("\n")[0]!);
    for (const part of [rule.summary, rule.why, ...examples, ...fixes]) expect(out).toContain(part);
  });
});
