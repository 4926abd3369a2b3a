import { renameSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { afterEach, describe, expect, test } from "vitest";
import type { PublishDiagnosticsParams } from "vscode-languageserver/node";
import { acceptanceEdits } from "../../shared/service/acceptance.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { applyEdits } from "../../shared/text/edits.ts";
import { temporaryFolder } from "../support/commandLine.ts";
import { LspClient } from "../support/lspClient.ts";
import { Dice } from "../support/randomLines.ts";
import { ableEditor, ScriptedEditor } from "../support/scriptedEditor.ts";
import { tinyScore } from "../support/tinyScore.ts";

const watchingEditor = {
  ...ableEditor,
  workspace: { ...ableEditor.workspace, didChangeWatchedFiles: { dynamicRegistration: true } },
};
const rule = "finger-outside-range";
const score = tinyScore("C4/4:5 D4/4:2").text;
/** Source: LSP 3.17, FileChangeType. */
const [created, changed, deleted] = [1, 2, 3];

let client: LspClient | undefined;

afterEach(() => client?.kill());

/** Two scores of one folder, both open. */
async function twoOpen() {
  const folder = temporaryFolder();
  writeFileSync(join(folder, "placewright.json"), '{ "root": true }');
  client = new LspClient();
  client.answers.set("client/registerCapability", () => null);
  const [a, b] = ["a", "b"].map((name) => {
    const path = join(folder, `${name}.musicxml`);
    writeFileSync(path, score);
    return new ScriptedEditor(client!, pathToFileURL(path).href, score);
  }) as [ScriptedEditor, ScriptedEditor];
  await a.initialize(watchingEditor);
  const found = [await a.open(), await b.open()];
  expect(found.map(countOf)).toEqual([1, 1]);
  return { folder, a, b };
}

const countOf = ({ diagnostics }: PublishDiagnosticsParams): number =>
  diagnostics.filter(({ code }) => code === rule).length;

function tell(...changes: readonly { readonly uri: string; readonly type: number | undefined }[]): void {
  client!.notify("workspace/didChangeWatchedFiles", { changes });
}

describe("what is told again", () => {
  test("is everything, once settings or what is accepted change, and nothing of a score that was closed", async () => {
    const { folder, a, b } = await twoOpen();
    const both = (): Promise<number[]> =>
      Promise.all([a.diagnostics(), b.diagnostics()]).then((found) => found.map(countOf));
    const settingsPath = join(folder, "placewright.json");
    const settings = pathToFileURL(settingsPath).href;
    let told = both();
    writeFileSync(settingsPath, JSON.stringify({ root: true, severity: { [rule]: "off" } }));
    tell({ uri: settings, type: changed });
    expect(await told).toEqual([0, 0]);
    told = both();
    writeFileSync(settingsPath, '{ "root": true }');
    tell({ uri: settings, type: changed });
    expect(await told).toEqual([1, 1]);

    const acceptedPath = join(folder, "placewright.accepted.json");
    const accepted = pathToFileURL(acceptedPath).href;
    const analysis = analyse(score);
    const meant = analysis.findings.filter((finding) => finding.rule === rule);
    const place = { path: acceptedPath, score: "a.musicxml", text: undefined };
    told = both();
    writeFileSync(acceptedPath, applyEdits("", acceptanceEdits(analysis, meant, place, "Intended.")));
    tell({ uri: accepted, type: created });
    // It is accepted in the one score, and found in the other still.
    expect(await told).toEqual([0, 1]);
    told = both();
    rmSync(acceptedPath);
    tell({ uri: accepted, type: deleted });
    expect(await told).toEqual([1, 1]);

    const emptied = b.diagnosticsOfAnyVersion();
    b.close();
    expect((await emptied).diagnostics).toEqual([]);
    const before = client!.received.length;
    const again = a.diagnostics();
    tell({ uri: settings, type: changed });
    await again;
    const after = client!.received.slice(before).map(({ params }) => (params as { uri?: string }).uri);
    expect(after).toContain(a.uri);
    expect(after).not.toContain(b.uri);
  });

  test("is what is found, when another program has saved over the file in whichever way", async () => {
    const { folder, a } = await twoOpen();
    for (const types of [[changed], [created], [deleted, created], [created, changed]]) {
      const aside = join(folder, "a.tmp");
      writeFileSync(aside, score);
      renameSync(aside, join(folder, "a.musicxml"));
      const told = a.diagnostics();
      tell(...types.map((type) => ({ uri: a.uri, type })));
      expect(countOf(await told), types.join()).toBe(1);
    }
  });

  test("is nothing of the name that a score had, and the same of the one that it has now", async () => {
    const { folder, a } = await twoOpen();
    const renamed = new ScriptedEditor(client!, pathToFileURL(join(folder, "c.musicxml")).href, score);
    renameSync(join(folder, "a.musicxml"), join(folder, "c.musicxml"));
    // So do editors that rename a file which is open. Source: LSP 3.17, text document synchronization.
    const emptied = a.diagnosticsOfAnyVersion();
    a.close();
    const found = renamed.open();
    tell({ uri: a.uri, type: deleted }, { uri: renamed.uri, type: created });
    expect((await emptied).diagnostics).toEqual([]);
    expect(countOf(await found)).toBe(1);
    const shown = client!.received.filter(
      ({ params }) => (params as { uri?: string } | undefined)?.uri === a.uri,
    );
    expect((shown.at(-1)!.params as PublishDiagnosticsParams).diagnostics).toEqual([]);
  });
});

test("whatever messages make no sense, those that do are answered", async () => {
  const { a } = await twoOpen();
  const dice = new Dice(5);
  const values: unknown[] = [null, [], {}, -1, 1e300, "", "file:///x", { uri: a.uri }, [null], true];
  const methods = [
    "textDocument/didOpen",
    "textDocument/didChange",
    "textDocument/didClose",
    "workspace/didChangeWatchedFiles",
    "workspace/didChangeWorkspaceFolders",
    "textDocument/codeAction",
    "textDocument/completion",
    "textDocument/diagnostic",
    "workspace/executeCommand",
    "workspace/symbol",
    "codeAction/resolve",
    "placewright/panel/read",
  ];
  const refused: Promise<unknown>[] = [];
  for (let round = 0; round < 200; round += 1) {
    const method = dice.oneOf(methods);
    const names = ["textDocument", "position", "range", "context", "changes", "contentChanges", "command"];
    const params = dice.chance(0.3)
      ? dice.oneOf(values)
      : Object.fromEntries(names.filter(() => dice.chance(0.5)).map((name) => [name, dice.oneOf(values)]));
    if (/did[A-Z]/.test(method)) client!.notify(method, params);
    else refused.push(client!.request(method, params).catch(() => undefined));
  }
  await Promise.all(refused);
  // One of them may have closed the score, or made the server let go of a text that it cannot follow.
  const again = new ScriptedEditor(client!, "file:///scores/again.musicxml", score);
  expect(countOf(await again.open())).toBe(1);
  expect(await client!.stop()).toBe(0);
});
