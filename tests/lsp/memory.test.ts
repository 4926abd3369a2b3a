import { afterEach, expect, test } from "vitest";
import { largeScore } from "../support/largeScore.ts";
import { LspClient } from "../support/lspClient.ts";
import { residentMegabytes, tellsMemory } from "../support/processMemory.ts";
import { Typist } from "../support/typist.ts";

let client: LspClient | undefined;

afterEach(() => client?.kill());

// The long one, ten scores of a megabyte and 5,000 edits, is a bench: `npm run bench -- serverMemory`.
test.skipIf(!tellsMemory)(
  "500 edits of two scores leave the server no larger (skipped where the system does not tell)",
  async () => {
    client = new LspClient();
    await client.request("initialize", { processId: process.pid, rootUri: null, capabilities: {} });
    client.notify("initialized", {});
    const text = largeScore(300_000);
    const typists: Typist[] = [];
    for (const name of ["a", "b"]) {
      const typist = new Typist(client, `file:///scores/${name}.musicxml`, text);
      await typist.findings();
      typists.push(typist);
    }
    const type = async (edits: number): Promise<number> => {
      for (let edit = 1; edit <= edits; edit += 1) {
        const typist = typists[Math.floor(edit / 50) % 2]!;
        const found = edit % 25 === 0 ? typist.findings() : undefined;
        typist.type(1 + (edit % 4));
        await found;
      }
      return residentMegabytes(client!.processId);
    };
    // What the engine sets aside for itself in the beginning is no growth.
    const before = await type(250);
    const after = await type(500);
    process.stderr.write(
      `the server's memory: ${before.toFixed(0)} MB, 500 edits later ${after.toFixed(0)} MB\n`,
    );
    // Each edit that left its text, let alone its analysis, would add 150 MB.
    expect(after).toBeLessThan(before + 75);
    expect(after).toBeLessThan(400);
  },
  240_000,
);
