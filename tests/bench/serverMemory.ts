/** How much memory the language server has with ten scores of a megabyte open, and after thousands of edits. */
import { setTimeout as pause } from "node:timers/promises";
import { largeScore } from "../support/largeScore.ts";
import { LspClient } from "../support/lspClient.ts";
import { residentMegabytes, tellsMemory } from "../support/processMemory.ts";
import { Typist } from "../support/typist.ts";

const scores = 10;
const edits = Number(process.argv[2] ?? 5_000);
/** Findings are waited for after so many edits; in between they follow each other as fast as they are taken. */
const editsBetween = 10;
/** Longer than the server waits before it takes an editor for one at rest, in milliseconds. */
const restMs = 75_000;

async function run(): Promise<void> {
  const client = new LspClient();
  const megabytes = (): string => `${residentMegabytes(client.processId).toFixed(0)} MB`;
  const say = (line: string): void => void process.stdout.write(`${line}\n`);
  await client.request("initialize", { processId: process.pid, rootUri: null, capabilities: {} });
  client.notify("initialized", {});
  say(`before a score is open: ${megabytes()}`);
  const text = largeScore(1_000_000);
  const typists: Typist[] = [];
  for (let i = 0; i < scores; i += 1) {
    const typist = new Typist(client, `file:///scores/${i}.musicxml`, text);
    await typist.findings();
    // What an editor asks for when it shows a document.
    const textDocument = { uri: typist.uri };
    await client.request("textDocument/documentSymbol", { textDocument });
    await client.request("textDocument/codeLens", { textDocument });
    await client.request("textDocument/foldingRange", { textDocument });
    typists.push(typist);
  }
  say(`${scores} scores of ${(text.length / 1e6).toFixed(1)} MB, just opened: ${megabytes()}`);
  await pause(restMs);
  say(`at rest: ${megabytes()}`);
  for (let edit = 1; edit <= edits; edit += 1) {
    const typist = typists[Math.floor(edit / 500) % 2]!;
    const found = edit % editsBetween === 0 ? typist.findings() : undefined;
    typist.type(1 + (edit % 4));
    await found;
    if (edit % (edits / 10) === 0) say(`after ${edit} edits: ${megabytes()}`);
  }
  await pause(restMs);
  say(`at rest: ${megabytes()}`);
  await client.stop();
}

if (tellsMemory) await run();
else process.stdout.write("This system does not tell how much memory a process has.\n");
