import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { afterEach, expect, test } from "vitest";
import { type PanelAnswer, panelNotifications, panelRequests } from "../../shared/protocol/panel.ts";
import { acceptanceEdits } from "../../shared/service/acceptance.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { applyEdits } from "../../shared/text/edits.ts";
import { temporaryFolder } from "../support/commandLine.ts";
import { LspClient } from "../support/lspClient.ts";
import { ableEditor, ScriptedEditor } from "../support/scriptedEditor.ts";
import { tinyScore } from "../support/tinyScore.ts";

const rule = "finger-outside-range";
const score = tinyScore("C4/4:5 D4/4:2").text;
/** Source: LSP 3.17, FileChangeType. */
const changed = 2;

let client: LspClient | undefined;

afterEach(() => client?.kill());

async function editorWith(initializationOptions: object) {
  const folder = temporaryFolder();
  writeFileSync(join(folder, "placewright.json"), '{ "root": true }');
  client = new LspClient();
  const editor = new ScriptedEditor(client, pathToFileURL(join(folder, "a.musicxml")).href, score);
  await editor.initialize(ableEditor, initializationOptions);
  await editor.open();
  const shown = async () => {
    const { version, reading } = await client!.request<PanelAnswer>(panelRequests.read, { uri: editor.uri });
    const findings = reading.state === "score" ? reading.findings : undefined;
    return { version, count: findings?.filter((finding) => finding.rule === rule).length };
  };
  const save = (name: string, text: string): void => {
    const path = join(folder, name);
    writeFileSync(path, text);
    const changes = [{ uri: pathToFileURL(path).href, type: changed }];
    client!.notify("workspace/didChangeWatchedFiles", { changes });
  };
  return { editor, shown, save };
}

function panelNews(): Promise<unknown> {
  return client!.next(({ method }) => method === panelNotifications.changed, "news for the panel");
}

function newsHeard(): number {
  return client!.received.filter(({ method }) => method === panelNotifications.changed).length;
}

function acceptedText(): string {
  const analysis = analyse(score);
  const findings = analysis.findings.filter((finding) => finding.rule === rule);
  return applyEdits(
    "",
    acceptanceEdits(analysis, findings, { score: "a.musicxml", text: undefined }, "Meant."),
  );
}

test("a panel is told when accepted findings or settings change, and reads the same text otherwise", async () => {
  const { shown, save } = await editorWith({ panel: true });
  expect(await shown()).toEqual({ version: 1, count: 1 });

  let news = panelNews();
  save("placewright.accepted.json", acceptedText());
  await news;
  expect(await shown()).toEqual({ version: 1, count: 0 });

  news = panelNews();
  save("placewright.accepted.json", "[]");
  await news;
  expect(await shown()).toEqual({ version: 1, count: 1 });

  news = panelNews();
  save("placewright.json", JSON.stringify({ root: true, severity: { [rule]: "off" } }));
  await news;
  expect(await shown()).toEqual({ version: 1, count: 0 });

  const elsewhere = pathToFileURL(join(temporaryFolder(), "notes.txt")).href;
  client!.notify("workspace/didChangeWatchedFiles", { changes: [{ uri: elsewhere, type: changed }] });
  // An answer comes after all that was sent before it.
  await shown();
  expect(newsHeard()).toBe(3);
});

test("an editor that has no panel is told nothing", async () => {
  const { editor, save } = await editorWith({});
  const found = editor.diagnostics();
  save("placewright.accepted.json", acceptedText());
  expect((await found).diagnostics.filter(({ code }) => code === rule)).toEqual([]);
  expect(newsHeard()).toBe(0);
});
