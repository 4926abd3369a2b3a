import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { afterEach, describe, expect, test } from "vitest";
import type {
  CodeAction,
  Command,
  CreateFile,
  PublishDiagnosticsParams,
  TextDocumentEdit,
} from "vscode-languageserver/node";
import { TextDocument } from "vscode-languageserver-textdocument";
import { readAccepted } from "../../shared/service/acceptedFile.ts";
import { temporaryFolder } from "../support/commandLine.ts";
import { LspClient } from "../support/lspClient.ts";
import { ableEditor, ScriptedEditor } from "../support/scriptedEditor.ts";
import { tinyScore } from "../support/tinyScore.ts";

const rule = "finger-outside-range";
const score = tinyScore("C4:1 D4:5 E4:2/3 | C4:2 D4:1/3.5 | G4:6 F4:2/3.5").text;
const title = "Mark as intended";

/** Edits files that it has not open, makes new ones, and can be asked to tell of them. */
const editorWithFiles = {
  ...ableEditor,
  workspace: {
    ...ableEditor.workspace,
    workspaceEdit: { documentChanges: true, resourceOperations: ["create", "rename", "delete"] },
    didChangeWatchedFiles: { dynamicRegistration: true },
  },
  textDocument: { ...ableEditor.textDocument, synchronization: { dynamicRegistration: true } },
};

let client: LspClient | undefined;

afterEach(() => client?.kill());

async function editorIn(text: string, capabilities: object) {
  const folder = temporaryFolder();
  const settings = join(folder, "placewright.json");
  writeFileSync(settings, '{ "root": true }');
  const path = join(folder, "placewright.accepted.json");
  client = new LspClient();
  const registered: string[] = [];
  client.answers.set("client/registerCapability", (params) => {
    registered.push(JSON.stringify(params));
    return null;
  });
  const editor = new ScriptedEditor(client, pathToFileURL(join(folder, "a.musicxml")).href, text);
  await editor.initialize(capabilities);
  return { editor, path, settings, uri: pathToFileURL(path).href, registered };
}

const linesOf = ({ diagnostics }: PublishDiagnosticsParams): number[] =>
  diagnostics.filter(({ code }) => code === rule).map(({ range }) => range.start.line);

/** The first action of this name where something wrong was found. */
async function acceptAction(
  editor: ScriptedEditor,
  { diagnostics }: PublishDiagnosticsParams,
): Promise<CodeAction & Command> {
  const { range } = diagnostics.find(({ code }) => code === rule)!;
  const actions = await editor.codeActions(range);
  return actions.find((action) => action.title === title)!;
}

function publishedFor(uri: string): Promise<PublishDiagnosticsParams> {
  return client!
    .next(
      ({ method, params }) =>
        method === "textDocument/publishDiagnostics" && (params as PublishDiagnosticsParams).uri === uri,
      `diagnostics of ${uri}`,
    )
    .then(({ params }) => params as PublishDiagnosticsParams);
}

describe("an editor that changes other files", () => {
  test("gets an edit that makes the file, which counts before it is saved; taken back, the finding is back", async () => {
    const { editor, path, uri, registered } = await editorIn(score, editorWithFiles);
    const before = await editor.open();
    expect(linesOf(before)).toHaveLength(2);
    expect(registered.join()).toContain('"textDocument/didOpen"');
    expect(registered.join()).toContain("**/placewright.accepted.json");

    const action = await acceptAction(editor, before);
    expect(action).toMatchObject({ kind: "quickfix", title });
    const { edit } = await editor.resolve(action);
    const [create, change] = edit!.documentChanges as [CreateFile, TextDocumentEdit];
    expect(create).toEqual({ kind: "create", uri, options: { ignoreIfExists: true } });
    expect(change.textDocument).toEqual({ uri, version: null });
    const empty = TextDocument.create(uri, "json", 1, "");
    const first = TextDocument.applyEdits(empty, change.edits as never);
    expect(readAccepted(first).entries).toMatchObject([{ rule, score: "a.musicxml", reason: "Intended." }]);
    expect(existsSync(path)).toBe(false);

    const opened = editor.diagnostics();
    const item = { uri, languageId: "json", version: 1, text: first };
    client!.notify("textDocument/didOpen", { textDocument: item });
    const quieter = await opened;
    expect(linesOf(quieter)).toEqual(linesOf(before).slice(1));

    // The second entry goes into what the editor has, not into what is on the disk.
    const again = await editor.resolve(await acceptAction(editor, quieter));
    const [more, ...others] = again.edit!.documentChanges as TextDocumentEdit[];
    expect(others).toEqual([]);
    expect(more!.textDocument).toEqual({ uri, version: 1 });
    const second = TextDocument.applyEdits(TextDocument.create(uri, "json", 1, first), more!.edits as never);
    expect(readAccepted(second)).toMatchObject({ entries: [{ rule }, { rule }], problems: [] });
    const quiet = editor.diagnostics();
    const version2 = { uri, version: 2 };
    client!.notify("textDocument/didChange", { textDocument: version2, contentChanges: [{ text: second }] });
    expect(linesOf(await quiet)).toEqual([]);

    const undone = editor.diagnostics();
    const version3 = { uri, version: 3 };
    client!.notify("textDocument/didChange", { textDocument: version3, contentChanges: [{ text: "" }] });
    expect((await undone).diagnostics).toEqual(before.diagnostics);
    expect(editor.text).toBe(score);

    const closed = editor.diagnostics();
    client!.notify("textDocument/didClose", { textDocument: { uri } });
    expect(linesOf(await closed)).toEqual(linesOf(before));
    expect(await client!.stop()).toBe(0);
  });

  test("the command with a reason makes the same edit, in one step to undo", async () => {
    const { editor, uri } = await editorIn(score, editorWithFiles);
    await editor.open();
    const asked: unknown[] = [];
    client!.answers.set("workspace/applyEdit", (params) => {
      asked.push(params);
      return { applied: true };
    });
    const request = {
      uri: editor.uri,
      version: editor.version,
      finding: 0,
      reason: "as the composer wrote it",
    };
    expect(await editor.execute("placewright.accept", request)).toEqual({ applied: true, edits: 1 });
    expect(asked).toMatchObject([{ label: title, edit: { documentChanges: [{ kind: "create", uri }, {}] } }]);
    expect(JSON.stringify(asked)).toContain("as the composer wrote it");
  });
});

describe("an editor that does not", () => {
  test("gets a command, and the file is written; entries that nothing fits any more are underlined in it", async () => {
    const { editor, path, uri } = await editorIn(score, ableEditor);
    const before = await editor.open();
    const action = await acceptAction(editor, before);
    expect(action.edit).toBeUndefined();
    const { command } = action as CodeAction;
    const now = editor.diagnostics();
    expect(await editor.execute(command!.command, command!.arguments![0])).toEqual({
      applied: true,
      edits: 1,
    });
    expect(linesOf(await now)).toEqual(linesOf(before).slice(1));
    const { entries } = readAccepted(readFileSync(path, "utf8"));
    expect(entries).toMatchObject([{ rule, score: "a.musicxml", hand: "right" }]);

    const stale = publishedFor(uri);
    editor.replace(">5<", ">7<");
    const [diagnostic, ...others] = (await stale).diagnostics;
    expect(others).toEqual([]);
    // Severity: LSP 3.17, DiagnosticSeverity.Warning.
    expect(diagnostic).toMatchObject({ source: "placewright", severity: 2 });
    expect(diagnostic!.range.start).toEqual({ line: 2, character: 4 });
    const fits = publishedFor(uri);
    editor.replace(">7<", ">5<");
    expect((await fits).diagnostics).toEqual([]);
  });

  test("what is saved counts at once, and a wrong entry is underlined", async () => {
    const { editor, path, uri } = await editorIn(score, editorWithFiles);
    const before = await editor.open();
    const wrong = publishedFor(uri);
    writeFileSync(
      path,
      '{ "accepted": [{ "rule": "none", "score": "a.musicxml", "place": "0", "reason": "x" }] }',
    );
    client!.notify("workspace/didChangeWatchedFiles", { changes: [{ uri, type: 1 }] });
    expect((await wrong).diagnostics.map(({ severity, code }) => [severity, code])).toEqual([
      [1, "setting"],
      [1, "setting"],
    ]);
    expect(linesOf(before)).toHaveLength(2);
  });

  test("a repair that was offered before another finding went is refused, not made of the next one", async () => {
    const { editor } = await editorIn(score, ableEditor);
    const before = await editor.open();
    const [first, second] = before.diagnostics.filter(({ code }) => code === rule);
    const [repair] = await editor.codeActions(second!.range, [second!]);
    const mark = (await editor.codeActions(first!.range)).find(
      (action) => action.title === title,
    ) as CodeAction;
    const now = editor.diagnostics();
    await editor.execute(mark.command!.command, mark.command!.arguments![0]);
    await now;
    await expect(editor.resolve(repair!)).rejects.toThrow("What is found in the text has changed");
    await expect(editor.execute(mark.command!.command, mark.command!.arguments![0])).rejects.toThrow(
      "What is found in the text has changed",
    );
    expect(editor.text).toBe(score);
  });

  test("remarks of one rule can be marked all at once", async () => {
    const info = { "finger-outside-range": "info" };
    const { editor, path, settings } = await editorIn(score, ableEditor);
    writeFileSync(settings, JSON.stringify({ root: true, severity: info }));
    const before = await editor.open();
    const { range } = before.diagnostics.find(({ code }) => code === rule)!;
    const offered = (await editor.codeActions(range)) as CodeAction[];
    const all = offered.find((action) => action.title === `${title}: all 2 in this file`)!;
    const now = editor.diagnostics();
    await editor.execute(all.command!.command, all.command!.arguments![0]);
    expect(linesOf(await now)).toEqual([]);
    expect(readAccepted(readFileSync(path, "utf8")).entries).toHaveLength(2);
  });

  test("requests that make no sense are refused", async () => {
    const { editor } = await editorIn(score, ableEditor);
    await editor.open();
    const request = { uri: editor.uri, version: editor.version, finding: 0 };
    const refused = (argument: object, message: string) =>
      expect(editor.execute("placewright.accept", argument)).rejects.toThrow(message);
    await refused({ ...request, finding: 99 }, "There is no such finding");
    await refused({ ...request, version: 7 }, "The text has changed");
    await refused({ ...request, reason: " " }, "reason");
    await refused({ ...request, finding: "0" }, "finding");
    await refused({ ...request, reading: "0" }, "reading");
    await refused({ ...request, all: 1 }, "all");
  });

  test("a score in no folder cannot be noted anywhere, and is not offered to be", async () => {
    client = new LspClient();
    const editor = new ScriptedEditor(client, "untitled:Untitled-1", score);
    await editor.initialize();
    const { diagnostics } = await editor.open();
    const titles = (await editor.codeActions(diagnostics[0]!.range)).map((action) => action.title);
    expect(titles).not.toContain(title);
    const request = { uri: editor.uri, version: 1, finding: 0 };
    await expect(editor.execute("placewright.accept", request)).rejects.toThrow("Save the score in a folder");
  });
});
