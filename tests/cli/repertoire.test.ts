import { execFileSync } from "node:child_process";
import { chmodSync, mkdirSync, readdirSync, readFileSync, utimesSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { Ajv } from "ajv";
import { SaxesParser } from "saxes";
import { describe, expect, test } from "vitest";
import sarifSchema from "../../node_modules/@microsoft/jest-sarif/lib/schemas/sarif-2.1.0-rtm.5.json";
import { filesOfShard } from "../../server/cli/checking/shards.ts";
import { projectFolder } from "../support/built.ts";
import { builtPlacewright, placewright, temporaryFolder } from "../support/commandLine.ts";
import { demoText } from "../support/demo.ts";
import { Dice } from "../support/randomLines.ts";
import { tinyScore } from "../support/tinyScore.ts";

const clean = tinyScore("(C4:4 D4:3 E4:2 F4:1)").text;
const fifthFinger = tinyScore("C4:1 D4:5").text;
const twoFifths = tinyScore("C4:1 D4:5 E4:1 F4:5").text;

function folderWith(files: Readonly<Record<string, string>>): string {
  const folder = temporaryFolder();
  write(folder, files);
  return folder;
}

function write(folder: string, files: Readonly<Record<string, string>>): void {
  for (const [name, content] of Object.entries(files)) {
    mkdirSync(join(folder, name, ".."), { recursive: true });
    writeFileSync(join(folder, name), content);
  }
}

interface JsonReport {
  readonly files: readonly {
    readonly path: string;
    readonly findings: readonly { readonly rule: string }[];
  }[];
}

/** The files of a check, from a folder. */
async function checkedFiles(folder: string, ...more: readonly string[]): Promise<string[]> {
  const { out } = await placewright(["check", folder, "--format", "json", ...more]);
  return (JSON.parse(out) as JsonReport).files.map(({ path }) => path.slice(folder.length + 1));
}

describe("which scores are checked", () => {
  test("those of a repository that its .gitignore does not leave out, as git itself says", async () => {
    const folder = folderWith({
      ".gitignore": "drafts/\n*.old.musicxml\n!keep.old.musicxml\n/only-here.musicxml\n",
      "a.musicxml": clean,
      "b.old.musicxml": clean,
      "keep.old.musicxml": clean,
      "only-here.musicxml": clean,
      "drafts/c.musicxml": clean,
      "suite/only-here.musicxml": clean,
      "suite/.gitignore": "out\n!b.old.musicxml\n",
      "suite/b.old.musicxml": clean,
      "suite/out/d.musicxml": clean,
      "suite/part/out/e.musicxml": clean,
    });
    execFileSync("git", ["init", "--quiet"], { cwd: folder });
    const listed = execFileSync("git", ["ls-files", "--others", "--exclude-standard", "*.musicxml"], {
      cwd: folder,
      encoding: "utf8",
    });
    const known = listed.trim().split("\n").sort();
    expect(known).toContain("suite/b.old.musicxml");
    expect((await checkedFiles(folder)).sort()).toEqual(known);
    // A folder of the repository follows the files above it too.
    expect((await checkedFiles(join(folder, "suite"))).sort()).toEqual([
      "b.old.musicxml",
      "only-here.musicxml",
    ]);
    expect((await checkedFiles(folder, "--ignored")).length).toBe(9);
  });

  test("a file that is named is checked, whatever .gitignore says", async () => {
    const folder = folderWith({ ".gitignore": "*.musicxml\n", "a.musicxml": fifthFinger });
    expect((await placewright(["check", join(folder, "a.musicxml")])).code).toBe(1);
    expect((await placewright(["check", folder])).out).toContain("There is no score");
  });

  test("those that fit a pattern", async () => {
    const folder = folderWith({ "a/x.musicxml": clean, "a/deep/y.musicxml": clean, "b/x.musicxml": clean });
    const named = async (pattern: string): Promise<string[]> => {
      const { out } = await placewright(["check", join(folder, pattern), "--format", "json"]);
      return (JSON.parse(out) as JsonReport).files.map(({ path }) => path.slice(folder.length + 1));
    };
    expect(await named("a/**/*.musicxml")).toEqual(["a/deep/y.musicxml", "a/x.musicxml"]);
    expect(await named("*/x.musicxml")).toEqual(["a/x.musicxml", "b/x.musicxml"]);
    expect(await named("{a,b}/x.*")).toEqual(["a/x.musicxml", "b/x.musicxml"]);
    const { code, out } = await placewright(["check", join(folder, "c*/*.musicxml")]);
    expect(code).toBe(2);
    expect(out).toContain("No score fits");
  });

  test("what cannot be opened is told, and the others are checked", async () => {
    const folder = folderWith({
      "a.musicxml": fifthFinger,
      "b/c.musicxml": clean,
      "d.musicxml": "<score-part",
    });
    writeFileSync(join(folder, "e.mxl"), "no container");
    chmodSync(join(folder, "b"), 0);
    try {
      const { code, out } = await placewright(["check", folder, "--no-cache"]);
      expect(code).toBe(2);
      expect(out).toContain("a.musicxml:");
      expect(out).toMatch(/d\.musicxml:\d+:\d+: error reading/);
      expect(out).toMatch(/e\.mxl:\d+:\d+: error reading/);
      // Whoever owns the system opens every folder.
      if (process.getuid?.() !== 0) expect(out).toMatch(/b:1:1: error reading: .* may not be opened/);
    } finally {
      chmodSync(join(folder, "b"), 0o755);
    }
  });
});

describe("formats for other programs", () => {
  const odd = "50% of, a: file\n<&\"'.musicxml";

  async function report(format: string, folder: string): Promise<string> {
    return (await placewright(["check", folder, "--format", format])).out;
  }

  test("sarif is valid by the schema of SARIF 2.1.0", async () => {
    // Written for draft 4 of JSON Schema; of what it uses, drafts 4 and 7 differ in the name of the id only.
    const { $schema: _, id: __, ...schema } = sarifSchema;
    const validate = new Ajv({ strict: false, validateFormats: false, unicodeRegExp: false }).compile(schema);
    const folder = folderWith({ [odd]: twoFifths, "b.musicxml": "<score-part", "c.musicxml": clean });
    for (const at of [folder, join(projectFolder, "fixtures/demo"), join(folder, "c.musicxml")]) {
      const log = JSON.parse(await report("sarif", at));
      expect(validate(log), JSON.stringify(validate.errors)).toBe(true);
    }
    const log = JSON.parse(await report("sarif", folder));
    const [run] = log.runs;
    const fifths = run.results.filter(
      (result: { ruleId: string }) => result.ruleId === "finger-outside-range",
    );
    expect(fifths).toHaveLength(2);
    for (const { ruleIndex, ruleId } of run.results) expect(run.tool.driver.rules[ruleIndex].id).toBe(ruleId);
    const { artifactLocation } = fifths[0].locations[0].physicalLocation;
    expect(decodeURIComponent(new URL(artifactLocation.uri).pathname)).toBe(join(folder, odd));
    expect(run.invocations[0].executionSuccessful).toBe(false);
    expect(run.invocations[0].toolExecutionNotifications[0].locations).toHaveLength(1);
    // The schema refuses what is no log: it is really asked.
    expect(validate({ ...log, version: "2.0.0" })).toBe(false);
    expect(validate({ ...log, runs: [{ ...run, results: [{ level: "grave" }] }] })).toBe(false);
  });

  test("github has one line for each finding, escaped", async () => {
    const folder = folderWith({ [odd]: twoFifths, "b.musicxml": "<score-part" });
    const lines = (await report("github", folder)).trimEnd().split("\n");
    const texts = (await placewright(["check", folder])).out.trimEnd();
    expect(lines).toHaveLength(texts.split(/:\d+:\d+: (?:error|warning|info) /).length - 1);
    for (const line of lines)
      expect(line).toMatch(/^::(error|warning|notice) file=[^,:]*,line=\d+,endLine=\d+,/);
    const [first] = lines;
    expect(first).toContain("50%25 of%2C a%3A file%0A<&");
    // Read back as the runner does.
    const message = /::[^:]*::(.*)$/.exec(lines.find((line) => line.includes("finger-outside-range"))!)![1]!;
    expect(message).toMatch(/D4 .*5/);
  });

  test("junit is well-formed and counts what it tells", async () => {
    const folder = folderWith({ [odd]: twoFifths, "b.musicxml": "<score-part", "c.musicxml": clean });
    const suites: Record<string, string>[] = [];
    const elements: string[] = [];
    const parser = new SaxesParser();
    parser.on("error", (error) => {
      throw error;
    });
    parser.on("opentag", ({ name, attributes }) => {
      elements.push(name);
      if (name === "testsuite") suites.push(attributes as Record<string, string>);
    });
    parser.write(await report("junit", folder)).close();
    const sum = (key: string): number => suites.reduce((total, suite) => total + Number(suite[key]), 0);
    const count = (name: string): number => elements.filter((each) => each === name).length;
    expect(suites.map(({ name }) => name)).toEqual(
      [odd, "b.musicxml", "c.musicxml"].map((n) => join(folder, n)),
    );
    expect([sum("tests"), sum("failures"), sum("errors")]).toEqual([
      count("testcase"),
      count("failure"),
      count("error"),
    ]);
    expect(count("failure")).toBeGreaterThan(1);
  });
});

describe("a baseline", () => {
  test("leaves out what it knows and tells what is new", async () => {
    const folder = folderWith({ "a.musicxml": fifthFinger, "b.musicxml": clean });
    const baseline = join(folder, "known.json");
    const written = await placewright(["check", folder, "--write-baseline", baseline]);
    expect(written).toMatchObject({ code: 0, out: "" });
    const again = await placewright(["check", folder, "--since", baseline]);
    expect(again).toMatchObject({ code: 0, out: "" });
    expect(again.err).toMatch(/nothing found; \d+ known before/);
    write(folder, { "b.musicxml": fifthFinger });
    const { code, out } = await placewright(["check", folder, "--since", baseline]);
    expect(code).toBe(1);
    expect(out).toContain("b.musicxml");
    expect(out).not.toContain("a.musicxml");
  });

  test("knows a finding by its music: bars before it, another program and other lines make no new one", async () => {
    const folder = folderWith({ "a.musicxml": demoText("lantern-waltz") });
    const baseline = join(folder, "known.json");
    await placewright(["check", folder, "--write-baseline", baseline]);
    const text = demoText("lantern-waltz").replace(/ {2}/g, "\t").replaceAll("\n", "\n\n");
    write(folder, { "a.musicxml": text });
    expect(await placewright(["check", folder, "--since", baseline])).toMatchObject({ code: 0, out: "" });
  });

  test("one more of what is known is new", async () => {
    const folder = folderWith({ "a.musicxml": tinyScore("C4:1 D4:5 E4:1 D4:2 C4:1").text });
    const baseline = join(folder, "known.json");
    await placewright(["check", folder, "--write-baseline", baseline]);
    write(folder, { "a.musicxml": tinyScore("C4:1 D4:5 E4:1 D4:5 C4:1").text });
    const { out } = await placewright(["check", folder, "--since", baseline]);
    expect(out.match(/finger-outside-range/g)).toHaveLength(1);
  });

  test("may be a JSON report; anything else is refused with what to do", async () => {
    const folder = folderWith({ "a.musicxml": fifthFinger, "no.json": "{}", "none.json": "{" });
    const report = await placewright(["check", folder, "--format", "json"]);
    writeFileSync(join(folder, "report.json"), report.out);
    const since = (name: string) => placewright(["check", folder, "--since", join(folder, name)]);
    expect((await since("report.json")).code).toBe(0);
    for (const name of ["no.json", "none.json", "gone.json"]) {
      const { code, err } = await since(name);
      expect(code).toBe(2);
      expect(err).toContain(name);
    }
  });

  test("a score that cannot be read is never known", async () => {
    const folder = folderWith({ "a.musicxml": "<score-part" });
    const baseline = join(folder, "known.json");
    expect((await placewright(["check", folder, "--write-baseline", baseline])).code).toBe(2);
    expect((await placewright(["check", folder, "--since", baseline])).code).toBe(2);
  });
});

describe("shards", () => {
  test("share the work: each file is in one, and the loads are alike", () => {
    const dice = new Dice(11);
    for (let round = 0; round < 50; round += 1) {
      const sizes = Array.from({ length: 40 + dice.whole(0, 199) }, () => 1000 + dice.whole(0, 99999));
      const of = 1 + dice.whole(0, 7);
      const shards = Array.from({ length: of }, (_, i) => filesOfShard(sizes, { index: i + 1, of }));
      expect(shards.flat().sort((a, b) => a - b)).toEqual(sizes.map((_, i) => i));
      const loads = shards.map((files) => files.reduce((sum, file) => sum + sizes[file]! + 2000, 0));
      // Largest first, then to the emptiest: at most 4/3 of the best. R. L. Graham, "Bounds on multiprocessing
      // timing anomalies", SIAM Journal on Applied Mathematics 17, 1969.
      expect(Math.max(...loads)).toBeLessThanOrEqual(
        (4 / 3) * Math.max(loads.reduce((a, b) => a + b) / of, 103_000),
      );
    }
  });

  test("merged, they are the report of one call", async () => {
    const files: Record<string, string> = {
      "z/d.musicxml": "<score-part",
      "placewright.json": '{"colour":1}',
    };
    for (let i = 0; i < 7; i += 1) files[`${i % 3}/${i}.musicxml`] = [clean, fifthFinger, twoFifths][i % 3]!;
    files["placewright.accepted.json"] = JSON.stringify({
      accepted: ["0/0.musicxml", "1/1.musicxml", "gone.musicxml"].map((score) => ({
        rule: "finger-outside-range",
        score,
        place: "0123456789abcdef",
        reason: "No longer there.",
      })),
    });
    const folder = folderWith(files);
    const operands = [folder, join(folder, "missing.musicxml")];
    const whole = await placewright(["check", ...operands, "--format", "json"]);
    const reports: string[] = [];
    for (const share of ["2/3", "3/3", "1/3"]) {
      const { out } = await placewright(["check", ...operands, "--format", "json", "--shard", share]);
      const path = join(folder, `shard-${share.replace("/", "-")}.json`);
      writeFileSync(path, out);
      reports.push(path);
    }
    const merged = await placewright(["merge", ...reports, "--format", "json"]);
    expect(merged.out).toBe(whole.out);
    expect(merged.code).toBe(whole.code);
    for (const format of ["text", "sarif", "github", "junit"]) {
      const direct = await placewright(["check", ...operands, "--format", format]);
      expect((await placewright(["merge", ...reports, "--format", format])).out).toBe(direct.out);
      expect(direct.out.length).toBeGreaterThan(100);
    }
    const lacking = await placewright(["merge", ...reports.slice(1)]);
    expect(lacking.code).toBe(2);
    expect(lacking.err).toContain("Shard 2/3 is not among the reports");
    const twice = await placewright(["merge", ...reports, reports[0]!]);
    expect(twice.err).toContain("are both shard 2/3");
  });

  test.each(["0/3", "4/3", "1", "a/b", "1/0"])("%s is no shard", async (shard) => {
    const { code, err } = await placewright(["check", temporaryFolder(), "--shard", shard]);
    expect(code).toBe(2);
    expect(err).toContain("--shard");
  });
});

describe("results of earlier checks", () => {
  const call = (folder: string, cache: string, ...more: readonly string[]) =>
    placewright(["check", folder, "--cache", cache, ...more]);

  test("are used while score and settings are as they were", async () => {
    const folder = folderWith({
      "a.musicxml": fifthFinger,
      "b.musicxml": twoFifths,
      "c.musicxml": "<score-part",
    });
    const cache = temporaryFolder();
    const first = await call(folder, cache, "--format", "json");
    expect(first.err).not.toContain("unchanged");
    const second = await call(folder, cache, "--format", "json");
    expect(second.out).toBe(first.out);
    expect(second.err).toContain("(0 read anew, the others unchanged)");
    // Only the time has changed, then a name, then one score, then a setting.
    utimesSync(join(folder, "a.musicxml"), 1, 1);
    expect((await call(folder, cache, "--format", "json")).err).toContain("(0 read anew");
    write(folder, { "d.musicxml": fifthFinger });
    const named = await call(folder, cache, "--format", "json");
    expect(named.err).toContain("(0 read anew");
    expect(named.out).toContain("d.musicxml");
    write(folder, { "a.musicxml": twoFifths.replace("<note>", "<note >") });
    expect((await call(folder, cache, "--format", "json")).err).toContain("(1 read anew");
    write(folder, { "placewright.json": '{"severity":{"finger-outside-range":"info"}}' });
    const milder = await call(folder, cache, "--format", "json");
    expect(milder.err).not.toContain("unchanged");
    expect(milder.out).not.toBe(named.out);
  });

  test("that are broken are found again", async () => {
    const folder = folderWith({ "a.musicxml": fifthFinger, "b.musicxml": twoFifths });
    const cache = temporaryFolder();
    const first = await call(folder, cache);
    const results = (): string[] =>
      readdirSync(cache, { recursive: true, encoding: "utf8" })
        .filter((name) => name.includes("/"))
        .map((name) => join(cache, name));
    expect(results()).toHaveLength(2);
    for (const path of results()) {
      const stored = readFileSync(path);
      for (const broken of [stored.subarray(0, 30), Buffer.alloc(stored.length), Buffer.alloc(0)]) {
        writeFileSync(path, broken);
        const again = await call(folder, cache);
        expect(again.out).toBe(first.out);
        expect(readFileSync(path)).toEqual(stored);
      }
    }
  });

  test("are never kept among the scores unless that is asked for, and a folder that cannot be written is no fault", async () => {
    const folder = folderWith({ "a.musicxml": fifthFinger });
    await placewright(["check", folder, "--no-cache"]);
    expect(readdirSync(folder)).toEqual(["a.musicxml"]);
    const { code, err } = await call(folder, join(folder, "a.musicxml"));
    expect(code).toBe(1);
    expect(err).toContain("results could not be kept");
  });
});

describe("the built program", () => {
  const names = Array.from({ length: 12 }, (_, i) => `${i}.musicxml`);
  const scores = (): string =>
    folderWith(Object.fromEntries(names.map((name, i) => [name, [clean, fifthFinger, twoFifths][i % 3]!])));

  test("checks in threads what it checks in one, in the same order, and is quiet in a pipe", async () => {
    const folder = scores();
    const one = await builtPlacewright(["check", folder, "--no-cache", "--jobs", "1", "--format", "json"]);
    const two = await builtPlacewright(["check", folder, "--no-cache", "--jobs", "2", "--format", "json"]);
    expect(two).toEqual(one);
    expect(two.err).not.toContain("\r");
    expect(two.err).not.toContain("\u001b");
  });

  test("two calls at once share results", async () => {
    const folder = scores();
    const cache = temporaryFolder();
    const call = () => builtPlacewright(["check", folder, "--cache", cache]);
    const [a, b] = await Promise.all([call(), call()]);
    expect(a.out).toBe(b.out);
    const third = await call();
    expect(third.out).toBe(a.out);
    expect(third.err).toContain("(0 read anew");
    expect(
      readdirSync(cache, { recursive: true, encoding: "utf8" }).filter((name) => name.endsWith(".tmp")),
    ).toEqual([]);
  });
});
