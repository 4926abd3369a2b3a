import { spawn } from "node:child_process";
import { once } from "node:events";
import { copyFileSync, symlinkSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { builtFile } from "../support/built.ts";
import { builtPlacewright, temporaryFolder } from "../support/commandLine.ts";
import { demoText } from "../support/demo.ts";
import { tinyScore } from "../support/tinyScore.ts";

describe("the built program", () => {
  test("has the exit codes of its commands", async () => {
    const folder = temporaryFolder();
    writeFileSync(join(folder, "clean.musicxml"), tinyScore("(C4:4 D4:3 E4:2 F4:1)").text);
    writeFileSync(join(folder, "fifth.musicxml"), tinyScore("C4:1 D4:5").text);
    writeFileSync(join(folder, "broken.musicxml"), "<score-partwise><part></score-partwise>");
    const codes = await Promise.all(
      [["clean.musicxml"], ["fifth.musicxml"], ["broken.musicxml"], ["."], ["--nonsense"]].map(
        async (args) => (await builtPlacewright(["check", ...args], { cwd: folder })).code,
      ),
    );
    expect(codes).toEqual([0, 1, 2, 2, 2]);
  });

  test("names files as they were given, and those of a folder below it", async () => {
    const folder = temporaryFolder();
    writeFileSync(join(folder, "fifth.musicxml"), tinyScore("C4:1 D4:5").text);
    const { out } = await builtPlacewright(["check", "."], { cwd: folder });
    expect(out).toMatch(/^fifth\.musicxml:\d+:\d+: error finger-outside-range: /m);
  });

  test("is a filter from standard input to standard output", async () => {
    const { code, out } = await builtPlacewright(["finger", "-"], { input: demoText("millrace-reel") });
    expect(code).toBe(0);
    expect(out.startsWith("<?xml")).toBe(true);
    expect(out.trimEnd().endsWith("</score-partwise>")).toBe(true);
  });

  test.skipIf(process.platform === "win32")("a reader that goes away is no error", async () => {
    const folder = temporaryFolder();
    const path = join(folder, "song.musicxml");
    writeFileSync(path, demoText("evening-tide"));
    const child = spawn(process.execPath, [builtFile("cli.cjs"), "finger", path, "--format", "json"]);
    let err = "";
    child.stderr.setEncoding("utf8").on("data", (text: string) => {
      err += text;
    });
    child.stdout.destroy();
    const [code] = (await once(child, "close")) as [number];
    expect(code).toBe(0);
    expect(err).not.toContain("EPIPE");
  });

  test.skipIf(process.platform === "win32")(
    "runs through the link that a package manager makes",
    async () => {
      const link = join(temporaryFolder(), "placewright");
      symlinkSync(builtFile("cli.cjs"), link);
      const child = spawn(process.execPath, [link, "--version"]);
      const [code] = (await once(child, "close")) as [number];
      expect(code).toBe(0);
    },
  );

  // Source: Language Server Protocol 3.17, base protocol and server lifecycle.
  test("lsp --stdio answers an editor, and ends when told to", async () => {
    const child = spawn(process.execPath, [builtFile("cli.cjs"), "lsp", "--stdio"]);
    let out = "";
    child.stdout.setEncoding("utf8").on("data", (text: string) => {
      out += text;
    });
    const send = (message: object): void => {
      const body = JSON.stringify({ jsonrpc: "2.0", ...message });
      child.stdin.write(`Content-Length: ${Buffer.byteLength(body)}\r\n\r\n${body}`);
    };
    const initialize = { processId: process.pid, rootUri: null, capabilities: {} };
    send({ id: 1, method: "initialize", params: initialize });
    await expect.poll(() => out, { timeout: 30_000 }).toContain('"capabilities"');
    expect(out).toMatch(/^Content-Length: \d+\r\n/);
    send({ method: "initialized", params: {} });
    send({ id: 2, method: "shutdown" });
    await expect.poll(() => out, { timeout: 30_000 }).toMatch(/"id":2\b/);
    send({ method: "exit" });
    const [code] = (await once(child, "close")) as [number];
    expect(code).toBe(0);
  });

  test("without the server's bundle beside it, lsp says what is missing", async () => {
    const alone = join(temporaryFolder(), "cli.cjs");
    copyFileSync(builtFile("cli.cjs"), alone);
    const child = spawn(process.execPath, [alone, "lsp", "--stdio"]);
    let err = "";
    child.stderr.setEncoding("utf8").on("data", (text: string) => {
      err += text;
    });
    const [code] = (await once(child, "close")) as [number];
    expect(code).toBe(2);
    expect(err).toContain("The language server is missing");
  });
});
