import { mkdirSync, readFileSync, symlinkSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, onTestFinished, test } from "vitest";
import type { PanelAnswer } from "../../shared/protocol/panel.ts";
import { temporaryFolder } from "../support/commandLine.ts";
import { tinyScore } from "../support/tinyScore.ts";
import { startView } from "../view/support/startedView.ts";

const { text } = tinyScore("C4:1 D4:2 E4:3");

const rule = (name: string, check: string): string => `{
  id: "test/${name}", severity: "warning", summary: "A test.", why: "To see it.", bad: "C4:1", good: "C4",
  fixes: [{ title: "Take 2", safety: "safe" }], check({ hands }, report) { ${check} },
}`;

const honest = (message: string): string => `
  const { span } = hands[0].line.events[0].notes[0].note.fingerings[0];
  report({ span, message: "${message}", at: { hand: hands[0], event: 0 },
    fixes: [{ title: "Take 2", safety: "safe", edits: () => [{ span, text: "<fingering>2</fingering>" }] }] });`;

function folderWith(...rules: string[]): string {
  const folder = temporaryFolder();
  mkdirSync(join(folder, "house-rules"));
  writeFileSync(join(folder, "score.musicxml"), text);
  writeFileSync(
    join(folder, "placewright.json"),
    JSON.stringify({ root: true, plugins: ["./house-rules/rules.mjs"] }),
  );
  saveRules(folder, ...rules);
  return folder;
}

function saveRules(folder: string, ...rules: string[]): void {
  writeFileSync(join(folder, "house-rules", "rules.mjs"), `export default [${rules.join(", ")}];`);
}

async function started(folder: string, ...args: string[]) {
  const view = await startView(folder, ...args);
  onTestFinished(view.stop);
  return view;
}

async function ask<T>(address: string, question: string, asks: object): Promise<T> {
  const answer = await fetch(`${address}ask/${question}`, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(asks),
  });
  if (!answer.ok) throw new Error(`${answer.status} ${await answer.text()}`);
  return (await answer.json()) as T;
}

const uri = "score.musicxml";

async function houseFindings(address: string) {
  const { version, reading } = await ask<PanelAnswer>(address, "read", { uri });
  const all = reading.state === "score" ? reading.findings : [];
  return { version, found: all.filter(({ rule: id }) => id.startsWith("test/")) };
}

test("the page has what house rules find, with its repairs, when they are allowed", async () => {
  const folder = folderWith(rule("honest", honest("It is here.")));
  const { address } = await started(folder, "--allow-plugins");
  const { version, found } = await houseFindings(address);
  expect(found).toMatchObject([
    {
      rule: "test/honest",
      severity: "warning",
      message: "It is here.",
      bar: "1",
      hand: "right",
      notes: ["note-0-0"],
      fixes: [{ title: "Take 2", safety: "safe" }],
    },
  ]);
  // A module that is saved anew counts at once.
  saveRules(folder, rule("honest", honest("It is here still.")));
  const again = await houseFindings(address);
  expect(again.found.map(({ message }) => message)).toEqual(["It is here still."]);
  expect(again.version).toBeGreaterThan(version);
  const change = { kind: "fix", finding: again.found[0]!.index, fix: 0 };
  await ask(address, "change", { uri, version: again.version, change });
  const before = text.slice(0, text.indexOf("<fingering"));
  const after = text.slice(text.indexOf("</fingering>"));
  expect(readFileSync(join(folder, uri), "utf8")).toBe(`${before}<fingering>2${after}`);
});

test("they are not run unless it is allowed, and a note says so", async () => {
  const { address, said } = await started(folderWith(rule("honest", honest("It is here."))));
  expect((await houseFindings(address)).found).toEqual([]);
  expect(said()).toContain("note: house rules were not run");
});

test("bad ones are told once, the others go on, and the score stays as it is", async () => {
  const note = text.indexOf("<step>C") + "<step>".length;
  const span = `{ start: ${note}, end: ${note + 1} }`;
  const folder = folderWith(
    rule("throws", 'throw new Error("oh no");'),
    rule(
      "edits-notes",
      `report({ span: ${span}, message: "x", fixes: [{ title: "Take 2", safety: "safe",
        edits: () => [{ span: ${span}, text: "D" }] }] });`,
    ),
    rule("nonsense", 'report({ span: { start: -1, end: 1e9 }, message: "x" });'),
    rule("honest", honest("It is here.")),
  );
  const { address, said } = await started(folder, "--allow-plugins");
  const ids = async () => (await houseFindings(address)).found.map(({ rule: id }) => id);
  expect(await ids()).toEqual(["test/honest"]);
  // Another text is read by the rules again.
  writeFileSync(join(folder, uri), `${text}\n`);
  expect(await ids()).toEqual(["test/honest"]);
  for (const name of ["throws", "edits-notes", "nonsense"]) {
    expect(said().split(`test/${name} is switched off`), name).toHaveLength(2);
  }
  expect(readFileSync(join(folder, uri), "utf8")).toBe(`${text}\n`);
});

test("a score that is sent along is checked by them too, and what is wrong with them stands beside it", async () => {
  const folder = folderWith(
    rule("throws", 'throw new Error("oh no");'),
    rule("honest", honest("It is here.")),
  );
  const { address } = await started(folder, "--allow-plugins");
  const post = async () => {
    const answer = await fetch(`${address}v1/check`, {
      method: "POST",
      headers: { "content-type": "application/vnd.recordare.musicxml+xml" },
      body: text,
    });
    const { files } = (await answer.json()) as {
      files: { path: string; findings: { rule: string }[]; problems: { message: string }[] }[];
    };
    return files;
  };
  const [posted, beside] = await post();
  const ids = posted!.findings.map(({ rule: id }) => id).filter((id) => id.startsWith("test/"));
  expect(ids).toEqual(["test/honest"]);
  expect(beside!.path).toMatch(/rules\.mjs$/);
  expect(beside!.problems[0]!.message).toContain("test/throws is switched off. It threw an error: oh no.");
  expect(await post()).toHaveLength(1);
});

test.skipIf(process.platform === "win32")("a link out of the folder is not opened", async () => {
  const folder = folderWith(rule("honest", honest("It is here.")));
  const outside = join(temporaryFolder(), "outside.musicxml");
  writeFileSync(outside, text);
  symlinkSync(outside, join(folder, "link.musicxml"));
  symlinkSync(join(folder, uri), join(folder, "inside.musicxml"));
  const { address } = await started(folder);
  await expect(ask(address, "read", { uri: "link.musicxml" })).rejects.toThrow(
    /409 .*leads out of the folder that is shown/,
  );
  expect((await ask<PanelAnswer>(address, "read", { uri: "inside.musicxml" })).reading.state).toBe("score");
  expect(readFileSync(outside, "utf8")).toBe(text);
});
