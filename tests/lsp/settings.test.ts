import { mkdirSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { afterEach, describe, expect, test } from "vitest";
import type { Hover, MarkupContent, PublishDiagnosticsParams } from "vscode-languageserver/node";
import { temporaryFolder } from "../support/commandLine.ts";
import { LspClient } from "../support/lspClient.ts";
import { ableEditor, ScriptedEditor } from "../support/scriptedEditor.ts";
import { tinyScore } from "../support/tinyScore.ts";

const watchingEditor = {
  ...ableEditor,
  workspace: { ...ableEditor.workspace, didChangeWatchedFiles: { dynamicRegistration: true } },
};

const rule = "finger-outside-range";

let client: LspClient | undefined;

afterEach(() => client?.kill());

/** An editor with one score in a folder, and the settings of the folder above it. */
async function editorIn(score: string, settings?: unknown) {
  const folder = temporaryFolder();
  mkdirSync(join(folder, "songs"));
  const settingsPath = join(folder, "placewright.json");
  const save = (value: unknown): void =>
    writeFileSync(settingsPath, typeof value === "string" ? value : JSON.stringify(value));
  if (settings !== undefined) save(settings);
  client = new LspClient();
  const registered: unknown[] = [];
  client.answers.set("client/registerCapability", (params) => {
    registered.push(params);
    return null;
  });
  const editor = new ScriptedEditor(client, pathToFileURL(join(folder, "songs/a.musicxml")).href, score);
  await editor.initialize(watchingEditor);
  return { editor, save, settingsPath, settingsUri: pathToFileURL(settingsPath).href, registered };
}

const severitiesOf = ({ diagnostics }: PublishDiagnosticsParams): unknown[] =>
  diagnostics.filter(({ code }) => code === rule).map(({ severity }) => severity);

function publishedFor(uri: string): Promise<PublishDiagnosticsParams> {
  return client!
    .next(
      ({ method, params }) =>
        method === "textDocument/publishDiagnostics" && (params as PublishDiagnosticsParams).uri === uri,
      `diagnostics of ${uri}`,
    )
    .then(({ params }) => params as PublishDiagnosticsParams);
}

// Severities: LSP 3.17, DiagnosticSeverity: 1 error, 2 warning, 3 information.
describe("settings in an editor", () => {
  const wrongFinger = tinyScore("C4/4:5 D4/4:2").text;

  test("count for a score when it is opened, and when they are saved while it is open", async () => {
    const { editor, save, settingsUri, registered } = await editorIn(wrongFinger, {
      root: true,
      severity: { [rule]: "info" },
    });
    expect(severitiesOf(await editor.open())).toEqual([3]);
    expect(JSON.stringify(registered)).toContain("**/placewright.json");

    save({ root: true, severity: { [rule]: "warning" } });
    const changed = editor.diagnostics();
    client!.notify("workspace/didChangeWatchedFiles", { changes: [{ uri: settingsUri, type: 2 }] });
    expect(severitiesOf(await changed)).toEqual([2]);

    save({ root: true, severity: { [rule]: "off" } });
    const typed = editor.diagnostics();
    editor.change({ start: editor.text.length, end: editor.text.length, text: "\n" });
    expect(severitiesOf(await typed)).toEqual([]);
  });

  test("that are wrong are underlined in their own file until they are mended, and the rest of them counts", async () => {
    const { editor, save, settingsUri, settingsPath } = await editorIn(
      wrongFinger,
      `{\n  "root": true,\n  "tempos": 60,\n  "severity": { "${rule}": "info" }\n}`,
    );
    const wrong = publishedFor(settingsUri);
    expect(severitiesOf(await editor.open())).toEqual([3]);
    const [diagnostic, ...others] = (await wrong).diagnostics;
    expect(others).toEqual([]);
    expect(diagnostic).toMatchObject({ source: "placewright", severity: 1 });
    expect(diagnostic!.range).toEqual({ start: { line: 2, character: 2 }, end: { line: 2, character: 10 } });
    expect(diagnostic!.message).toContain('Did you mean "tempo"?');

    save({ root: true, tempo: 60 });
    const mended = publishedFor(settingsUri);
    client!.notify("workspace/didChangeWatchedFiles", { changes: [{ uri: settingsUri, type: 2 }] });
    expect((await mended).diagnostics).toEqual([]);

    save("{");
    const broken = publishedFor(settingsUri);
    client!.notify("workspace/didChangeWatchedFiles", { changes: [{ uri: settingsUri, type: 2 }] });
    expect((await broken).diagnostics).toHaveLength(1);
    const gone = publishedFor(settingsUri);
    rmSync(settingsPath);
    client!.notify("workspace/didChangeWatchedFiles", { changes: [{ uri: settingsUri, type: 3 }] });
    expect((await gone).diagnostics).toEqual([]);
  });

  test("what they say is wrong goes when the last score is closed", async () => {
    const { editor, settingsUri } = await editorIn(wrongFinger, { root: true, tempos: 60 });
    const wrong = publishedFor(settingsUri);
    await editor.open();
    expect((await wrong).diagnostics).toHaveLength(1);
    const gone = publishedFor(settingsUri);
    editor.close();
    expect((await gone).diagnostics).toEqual([]);
  });

  test("the player's level shows in what is said about a note", async () => {
    const score = tinyScore("C4+C5/4:1 D4/4").text.replace(/<fingering[^>]*>1<\/fingering>/, "");
    const text = async (settings: unknown): Promise<string> => {
      const { editor } = await editorIn(score, settings);
      await editor.open();
      const hover = (await editor.hover(editor.placeOf("<step>C</step>"))) as Hover;
      client!.kill();
      return (hover.contents as MarkupContent).value;
    };
    expect(await text({ root: true })).not.toBe(await text({ root: true, profile: "three-fingers" }));
  });

  test("a score in no folder has none, and other files that change do nothing", async () => {
    client = new LspClient();
    const editor = new ScriptedEditor(client, "untitled:Untitled-1", wrongFinger);
    await editor.initialize();
    expect(severitiesOf(await editor.open())).toEqual([1]);
    client.notify("workspace/didChangeWatchedFiles", {
      changes: [{ uri: "file:///a/package.json", type: 2 }],
    });
    client.notify("workspace/didChangeWatchedFiles", {});
    expect(await client.stop()).toBe(0);
  });
});
