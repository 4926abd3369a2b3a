import { execFileSync } from "node:child_process";
import { chmodSync, cpSync, mkdirSync, readFileSync, symlinkSync, writeFileSync } from "node:fs";
import { delimiter, join } from "node:path";
import { expect, test } from "vitest";
import * as rulesModule from "../../shared/library/rules.ts";
import { builtFile, projectFolder } from "../support/built.ts";
import { builtPlacewright, temporaryFolder } from "../support/commandLine.ts";
import { demoText } from "../support/demo.ts";
import { withoutFingering } from "../support/libxml.ts";
import { tinyScore } from "../support/tinyScore.ts";

const examples = join(projectFolder, "fixtures", "plugins");
const readme = readFileSync(join(projectFolder, "README.md"), "utf8");
const section = /### House rules\n.*?(?=\n### )/s.exec(readme)![0];

/** A folder that has the package and nothing else. */
function folderWithPackage(): string {
  const folder = temporaryFolder();
  mkdirSync(join(folder, "node_modules"));
  symlinkSync(projectFolder, join(folder, "node_modules", "placewright"), "dir");
  return folder;
}

const block = (language: string): string =>
  new RegExp(`\`\`\`${language}\n(.*?)\`\`\``, "s").exec(section)![1]!;

test("the tests of the examples pass, as their authors run them", () => {
  const out = execFileSync(process.execPath, ["--test", join(examples, "house-rules")], { encoding: "utf8" });
  expect(Number(/^# pass (\d+)/m.exec(out)?.[1])).toBeGreaterThanOrEqual(7);
});

test("the examples find what they should in a score, and the rest is found as before", async () => {
  const folder = folderWithPackage();
  cpSync(examples, folder, { recursive: true });
  writeFileSync(join(folder, "score.musicxml"), tinyScore("R: C5:^3+G5:1 // L: C3:2").text);
  const args = ["check", "score.musicxml", "--no-cache", "--allow-plugins"];
  const { out, err } = await builtPlacewright(args, { cwd: folder });
  expect(out).toContain("warning our-series/digits-above: The finger of C5 stands below the staff.");
  expect(out).toContain(
    "info our-series/fifths-with-1-2: The fifth from C5 to G5 has 3 and 1; this series has 2 and 1.",
  );
  expect(err).not.toContain("note: house rules");
});

test("the example of the page for users works as the page says", async () => {
  const folder = folderWithPackage();
  mkdirSync(join(folder, "house-rules"));
  writeFileSync(join(folder, "placewright.json"), block("json"));
  writeFileSync(join(folder, "house-rules", "no-fourth-finger.mjs"), block("js"));
  writeFileSync(join(folder, "score.musicxml"), tinyScore("C4:4 r G4:1").text);
  const args = ["check", "score.musicxml", "--no-cache", "--allow-plugins"];
  const { out } = await builtPlacewright(args, { cwd: folder });
  expect(out).toContain("warning our-series/no-fourth-finger: C4 has 4.");
  const calls = [...section.matchAll(/`(tryRule\(.*?\))`/g)].map((match) => match[1]!);
  expect(calls).toHaveLength(2);
  const trial = join(folder, "trial.mjs");
  writeFileSync(
    trial,
    `import { tryRule } from "placewright/rules";
import { noFourthFinger } from "./house-rules/no-fourth-finger.mjs";
process.stdout.write(JSON.stringify([${calls.join(", ")}]));
`,
  );
  expect(JSON.parse(execFileSync(process.execPath, [trial], { encoding: "utf8" }))).toEqual([[], []]);
});

test("all that the module has is told to users", () => {
  const changes = readFileSync(join(projectFolder, "CHANGELOG.md"), "utf8");
  for (const name of Object.keys(rulesModule)) expect(changes).toContain(`\`${name}\``);
});

test("a rule with types", { timeout: 120_000 }, () => {
  const folder = folderWithPackage();
  writeFileSync(
    join(folder, "rule.mts"),
    `import { defineRule, type Rule, tryRule, type WrittenHand } from "placewright/rules";
export const rule: Rule = defineRule({
  id: "our-series/any", severity: "info", summary: "s", why: "w", bad: "C4:1", good: "C4", fixes: [],
  check({ hands }, report) {
    const [hand]: readonly WrittenHand[] = hands;
    const span = hand?.line.events[0]?.notes[0]?.note.fingerings[0]?.span;
    if (hand && span) report({ span, message: "A finger.", at: { hand, event: 0 } });
  },
});
const wrong: string[] = tryRule(rule);
if (wrong.length > 0) throw new Error(wrong.join());
`,
  );
  const compilerOptions = { target: "ES2023", module: "NodeNext", strict: true, outDir: "out", types: [] };
  writeFileSync(join(folder, "tsconfig.json"), JSON.stringify({ compilerOptions, files: ["rule.mts"] }));
  execFileSync(join(projectFolder, "node_modules/.bin/tsc"), ["-p", folder], { encoding: "utf8" });
  execFileSync(process.execPath, [join(folder, "out", "rule.mjs")]);
});

// A shell script stands for the installed command.
test.skipIf(process.platform === "win32")("the filter's client fingers a file", () => {
  const folder = temporaryFolder();
  const command = join(folder, "placewright");
  writeFileSync(command, `#!/bin/sh\nexec "${process.execPath}" "${builtFile("cli.cjs")}" "$@"\n`);
  chmodSync(command, 0o755);
  const reel = demoText("millrace-reel");
  const [from, to] = [join(folder, "reel.musicxml"), join(folder, "fingered.musicxml")];
  writeFileSync(from, Buffer.from(`\ufeff${reel.replace("UTF-8", "UTF-16")}`, "utf16le"));
  execFileSync(process.execPath, [join(examples, "finger-file.mjs"), from, to], {
    env: { ...process.env, PATH: `${folder}${delimiter}${process.env.PATH}` },
  });
  const fingered = readFileSync(to).toString("utf16le");
  expect(fingered.match(/<fingering/g)!.length).toBeGreaterThan(250);
  const inUtf8 = Buffer.from(fingered.replace("UTF-16", "UTF-8").replace("\ufeff", ""));
  expect(withoutFingering(inUtf8)).toBe(withoutFingering(Buffer.from(reel)));
});
