import { afterEach, expect, onTestFinished, test, vi } from "vitest";
import { browserHost } from "../../client/panel/view/browserHost.ts";
import { demoNames, demoPath, viewFolder } from "./support/viewed.ts";

afterEach(() => vi.unstubAllGlobals());

test("what the server refuses is told to the page in its words", async () => {
  const viewed = await viewFolder(demoNames.map(demoPath));
  onTestFinished(() => viewed.close());
  const fetched = fetch;
  vi.stubGlobal("fetch", (path: string, asked: RequestInit) => fetched(viewed.server.address + path, asked));
  const host = browserHost();
  expect(await host.ask("scores", {})).toHaveLength(demoNames.length);
  await expect(host.ask("read", { uri: "none.musicxml" })).rejects.toThrow(
    /^There is no such score here any more\. Choose another one\.$/,
  );
  const { version } = await host.ask("read", { uri: demoNames[0] });
  const change = { kind: "keep", note: "note-0-0", finger: 3 } as const;
  await expect(host.ask("change", { uri: demoNames[0], version: version + 1, change })).rejects.toThrow(
    /^The file has changed meanwhile/,
  );
});
