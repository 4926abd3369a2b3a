import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { builtPlacewright, temporaryFolder } from "../support/commandLine.ts";
import { tinyScore } from "../support/tinyScore.ts";

const rule = (name: string, check: string): string => `{
  id: "test/${name}", severity: "warning", summary: "A test.", why: "The house wants ${name} so.",
  bad: "C4:1", good: "C4", fixes: [],
  check({ hands }, report) { ${check} },
}`;

const honest = `const { span } = hands[0].line.events[0].notes[0].note.fingerings[0];
  report({ span, message: "The house has found this.", at: { hand: hands[0], event: 0 } });`;

function folderWith(rules: string): string {
  const folder = temporaryFolder();
  mkdirSync(join(folder, "house-rules"));
  writeFileSync(join(folder, "house-rules", "rules.mjs"), rules);
  writeFileSync(join(folder, "score.musicxml"), tinyScore("C4:1 D4:2 E4:3").text);
  writeFileSync(
    join(folder, "placewright.json"),
    JSON.stringify({ root: true, plugins: ["./house-rules/rules.mjs"] }),
  );
  return folder;
}

async function proofIn(cwd: string, ...args: string[]) {
  const answer = await builtPlacewright(["report", "score.musicxml", "--out", "proof.html", ...args], {
    cwd,
  });
  return { ...answer, page: readFileSync(join(cwd, "proof.html"), "utf8") };
}

test("a proof has what house rules find, and why it matters, when they are allowed", async () => {
  const cwd = folderWith(`export default [${rule("honest", honest)}];`);
  const without = await proofIn(cwd);
  expect(without.page).not.toContain("The house has found this.");
  expect(without.err).toContain("note: house rules were not run");
  expect(without.code).toBe(0);
  const allowed = await proofIn(cwd, "--allow-plugins");
  expect(allowed.page).toContain("The house has found this.");
  expect(allowed.page).toContain("<dt>test/honest</dt><dd>The house wants honest so.</dd>");
  expect(allowed.code).toBe(0);
});

test("a bad rule is told once, and the proof has the rest", async () => {
  const cwd = folderWith(
    `export default [${rule("bad", 'throw new Error("oh no");')}, ${rule("honest", honest)}];`,
  );
  const before = readFileSync(join(cwd, "score.musicxml"), "utf8");
  const { page, err, code } = await proofIn(cwd, "--allow-plugins");
  expect(page).toContain("The house has found this.");
  expect(err.match(/test\/bad is switched off/g)).toHaveLength(1);
  expect(code).toBe(2);
  expect(readFileSync(join(cwd, "score.musicxml"), "utf8")).toBe(before);
});
