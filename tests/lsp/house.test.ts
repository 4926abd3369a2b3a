import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { afterEach, expect, test } from "vitest";
import type { CodeAction, PublishDiagnosticsParams, ShowMessageParams } from "vscode-languageserver/node";
import { temporaryFolder } from "../support/commandLine.ts";
import { LspClient } from "../support/lspClient.ts";
import { ableEditor, ScriptedEditor } from "../support/scriptedEditor.ts";
import { tinyScore } from "../support/tinyScore.ts";

/** Finds every 4; its repair makes it a 3, or does what the argument says. */
const moduleWith = (edits = '[{ span, text: "<fingering>3</fingering>" }]', first = ""): string => `
const take = { title: "Take 3", safety: "safe" };
export default {
  id: "test/no-four", severity: "warning", summary: "A 4.", why: "A test.", bad: "C4:4", good: "C4:3", fixes: [take],
  check({ text, hands }, report) {
    ${first}
    for (const hand of hands) hand.line.events.forEach(({ notes }, event) => {
      const fingering = notes[0].note.fingerings[0];
      const span = fingering?.span;
      if (fingering?.number === 4) report({ span, message: "4 is not for us.", at: { hand, event },
        fixes: [{ ...take, edits: () => ${edits} }] });
    });
  },
};
`;

const ids = ({ diagnostics }: PublishDiagnosticsParams): unknown[] => diagnostics.map(({ code }) => code);

let client: LspClient | undefined;

afterEach(() => client?.kill());

async function editorIn(module: string, score: string, options?: object, capabilities: object = ableEditor) {
  const folder = temporaryFolder();
  mkdirSync(join(folder, "house-rules"));
  const path = join(folder, "house-rules", "rules.mjs");
  writeFileSync(path, module);
  const settings = { root: true, plugins: ["./house-rules/rules.mjs"] };
  writeFileSync(join(folder, "placewright.json"), JSON.stringify(settings));
  client = new LspClient();
  client.answers.set("client/registerCapability", () => null);
  const editor = new ScriptedEditor(client, pathToFileURL(join(folder, "a.musicxml")).href, score);
  await editor.initialize(capabilities, options);
  return { editor, path };
}

const trusted = { allowPlugins: true };

const messages = (): string[] =>
  client!.received
    .filter(({ method }) => method === "window/showMessage")
    .map(({ params }) => (params as ShowMessageParams).message);

const score = tinyScore("C4/4:4 D4/4:2").text;

test("in a trusted folder their findings are there, follow the text, and can be repaired", async () => {
  const { editor } = await editorIn(moduleWith(), score, trusted);
  const found = await editor.open();
  expect(ids(found)).toContain("test/no-four");
  const own = found.diagnostics.find(({ code }) => code === "test/no-four")!;
  expect(own).toMatchObject({ severity: 2, message: "4 is not for us.", source: "placewright" });
  const actions = await editor.codeActions(own.range, [own]);
  expect(actions.map(({ title }) => title)).toContain("Take 3");
  const action = actions.find(({ title }) => title === "Take 3")!;
  const { edit } = action.edit ? action : await client!.request<CodeAction>("codeAction/resolve", action);
  const after = editor.diagnostics();
  expect(editor.applyIfFresh(edit!)).toBe(true);
  expect(editor.text).toContain("<fingering>3</fingering>");
  expect(ids(await after)).not.toContain("test/no-four");
  expect(messages()).toEqual([]);
});

test("in a folder that is not trusted they are not run, and that is said once", async () => {
  const { editor } = await editorIn(moduleWith("[]", "process.stderr.write('run');"), score);
  expect(ids(await editor.open())).not.toContain("test/no-four");
  const next = editor.diagnostics();
  editor.replace(">2</fingering>", ">1</fingering>");
  expect(ids(await next)).not.toContain("test/no-four");
  expect(messages()).toEqual([expect.stringMatching(/^House rules are not run.*not trusted: rules\.mjs\.$/)]);
  expect(client!.errorOutput).toBe("");
});

test("a bad one is told once, and all else is found; saved anew it runs again", async () => {
  const watching = {
    ...ableEditor,
    workspace: { ...ableEditor.workspace, didChangeWatchedFiles: { dynamicRegistration: true } },
  };
  const wrong = tinyScore("C4/4:4 D4/4:5").text;
  const { editor, path } = await editorIn(
    moduleWith("[]", 'throw new Error("oh no");'),
    wrong,
    trusted,
    watching,
  );
  const found = ids(await editor.open());
  expect(found).toContain("finger-outside-range");
  expect(found).not.toContain("test/no-four");
  const next = editor.diagnostics();
  editor.replace(">5<", ">6<");
  expect(ids(await next)).toContain("finger-outside-range");
  expect(messages()).toEqual([
    expect.stringContaining("The house rule test/no-four is switched off. It threw an error: oh no."),
  ]);
  writeFileSync(path, moduleWith());
  const again = editor.diagnostics();
  client!.notify("workspace/didChangeWatchedFiles", {
    changes: [{ uri: pathToFileURL(path).href, type: 2 }],
  });
  expect(ids(await again)).toContain("test/no-four");
});

test("a repair that would change music is refused, and the text stays", async () => {
  const edits =
    '[{ span: { start: text.indexOf("<step>C"), end: text.indexOf("<step>C") + 7 }, text: "<step>D" }]';
  const { editor } = await editorIn(moduleWith(edits), score, trusted);
  expect(ids(await editor.open())).not.toContain("test/no-four");
  expect(messages()).toEqual([expect.stringContaining("would change more than fingering and brackets")]);
  expect(editor.text).toBe(score);
});

test("all safe repairs together have theirs among them", async () => {
  const { editor } = await editorIn(moduleWith(), tinyScore("C4/4:4 D4/4:2 | C4/4:4 D4/4:2").text, trusted);
  await editor.open();
  await client!.request("workspace/executeCommand", {
    command: "placewright.fixAll",
    arguments: [
      { uri: editor.uri, version: editor.version, choice: { rule: "test/no-four", title: "Take 3" } },
    ],
  });
  expect(editor.text.match(/<fingering>3<\/fingering>/g)).toHaveLength(2);
});
