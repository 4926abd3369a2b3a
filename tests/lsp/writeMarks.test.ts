import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { afterEach, expect, test } from "vitest";
import type { CodeAction, WorkspaceEdit } from "vscode-languageserver/node";
import { temporaryFolder } from "../support/commandLine.ts";
import { fullEditor } from "../support/editorSessions.ts";
import { LspClient } from "../support/lspClient.ts";
import { ScriptedEditor } from "../support/scriptedEditor.ts";
import { tinyScore } from "../support/tinyScore.ts";

let client: LspClient | undefined;

afterEach(() => client?.kill());

test("an editor writes how the pedals stand and every change in one step, where the settings name a harp", async () => {
  const folder = temporaryFolder();
  const path = join(folder, "song.musicxml");
  const { text } = tinyScore("F4/2 F#4/2");
  writeFileSync(path, text);
  writeFileSync(join(folder, "placewright.json"), '{ "root": true, "harp": "pedal-47" }');
  client = new LspClient();
  client.answers.set("client/registerCapability", () => null);
  client.answers.set("window/workDoneProgress/create", () => null);
  for (const what of ["diagnostic", "inlayHint", "codeLens"])
    client.answers.set(`workspace/${what}/refresh`, () => null);
  const editor = new ScriptedEditor(client, pathToFileURL(path).href, text);
  await editor.initialize(fullEditor);
  client.notify("textDocument/didOpen", {
    textDocument: { uri: editor.uri, languageId: "musicxml", version: editor.version, text },
  });
  const line = text.slice(0, text.indexOf("<note>")).split("\n").length;
  const at = { line, character: 4 };
  const ask = (): Promise<CodeAction[]> =>
    client!.request<CodeAction[]>("textDocument/codeAction", {
      textDocument: { uri: editor.uri },
      range: { start: at, end: at },
      context: { diagnostics: [], only: ["refactor"] },
    });
  const action = (await ask()).find(({ title }) => title === "Write how the pedals stand, and every change");
  expect(action?.kind).toBe("refactor.rewrite");
  const { edit } = await client.request<CodeAction>("codeAction/resolve", action!);
  expect(newTexts(edit!)).toEqual([["<harp-pedals>"], ["<words>F♯</words>"]]);
});

function newTexts(edit: WorkspaceEdit): string[][] {
  const edits = edit.documentChanges?.flatMap((change) => ("edits" in change ? change.edits : [])) ?? [];
  return edits.map((each) =>
    "newText" in each ? (each.newText.match(/<harp-pedals>|<words>.*?<\/words>/g) ?? []) : [],
  );
}
