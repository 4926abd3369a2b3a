import {
  copyFileSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { basename, dirname, join } from "node:path";
import { setTimeout as passed } from "node:timers/promises";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, onTestFinished, test } from "vitest";
import { usualLimits } from "../../server/view/limits.ts";
import { demoNames, demoPath, type ViewedFolder, viewFolder } from "../panel/support/viewed.ts";
import { temporaryFolder } from "../support/commandLine.ts";
import { demoText } from "../support/demo.ts";
import { peakMegabytes, residentMegabytes, tellsMemory } from "../support/processMemory.ts";
import { type RawConnection, rawConnection, scoreHead } from "./support/rawRequest.ts";
import { json, score, send, why } from "./support/request.ts";
import { type StartedView, startView } from "./support/startedView.ts";

const reel = demoText("millrace-reel");
const megabyte = Buffer.alloc(1_000_000, " ");

/** Sends megabytes until so many are sent, the answer comes, or the connection is cut; says how many were. */
async function sendMegabytes(
  { socket, status }: RawConnection,
  count: number,
  framed: (chunk: Buffer) => Buffer,
): Promise<number> {
  const chunk = framed(megabyte);
  let sent = 0;
  while (sent < count && status() === undefined && !socket.destroyed) {
    sent += 1;
    if (socket.write(chunk)) await passed(0);
    else await Promise.race([new Promise((resolve) => socket.once("drain", resolve)), passed(1_000)]);
  }
  return sent;
}

describe("a server in a process of its own", () => {
  let folder: string;
  let view: StartedView;
  let atRest: number;

  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), "placewright-abused-"));
    for (const name of demoNames) copyFileSync(demoPath(name), join(folder, name));
    view = await startView(folder);
    // What it needs for honest work is not counted.
    expect((await send(view.address, "v1/finger", score(reel))).status).toBe(200);
    atRest = tellsMemory ? peakMegabytes(view.processId) : 0;
  }, 120_000);

  afterAll(async () => {
    await view?.stop();
    rmSync(folder, { recursive: true });
  });

  afterEach(async () => {
    // Whatever was tried: it answers still, has not grown beyond its limits, and no score is another one.
    expect((await send(view.address, "v1/version")).status).toBe(200);
    if (tellsMemory) {
      // Each body may lie there twice, in pieces and as a whole, and the one that is worked on takes several times its length.
      const most = atRest + (2 * usualLimits.heldBytes + 8 * usualLimits.scoreBytes) / 1e6;
      expect(peakMegabytes(view.processId)).toBeLessThan(most);
      expect(residentMegabytes(view.processId)).toBeLessThan(most);
    }
    for (const name of demoNames)
      expect(readFileSync(join(folder, name)).equals(readFileSync(demoPath(name))), name).toBe(true);
    expect(view.said()).not.toContain("fault");
  });

  test("100 MB with their length said: refused before they are sent", async () => {
    const raw = rawConnection(view.address);
    raw.socket.write(scoreHead(view.address, "v1/check", ["Content-Length: 100000000"]));
    const sent = await sendMegabytes(raw, 100, (chunk) => chunk);
    await raw.closed;
    expect(raw.status()).toBe(413);
    expect(sent).toBeLessThan(50);
  });

  test("100 MB in chunks: cut off where they are too many", async () => {
    const raw = rawConnection(view.address);
    raw.socket.write(scoreHead(view.address, "v1/check", ["Transfer-Encoding: chunked"]));
    const frame = (chunk: Buffer): Buffer =>
      Buffer.concat([Buffer.from(`${chunk.length.toString(16)}\r\n`), chunk, Buffer.from("\r\n")]);
    const sent = await sendMegabytes(raw, 100, frame);
    await raw.closed;
    expect(raw.status()).toBe(413);
    expect(sent).toBeGreaterThanOrEqual(usualLimits.scoreBytes / 1e6);
    expect(sent).toBeLessThan(90);
  });

  test("who asks first is told no, and sends nothing", async () => {
    const raw = rawConnection(view.address);
    raw.socket.write(
      scoreHead(view.address, "v1/check", ["Content-Length: 100000000", "Expect: 100-continue"]),
    );
    await raw.closed;
    expect(raw.status()).toBe(413);
  });

  test("200 connections at once: most are closed, and others can come when they are gone", async () => {
    const all = Array.from({ length: 200 }, () => rawConnection(view.address));
    onTestFinished(() => {
      for (const { socket } of all) socket.destroy();
    });
    const closed = all.map(({ closed: whole }) => whole);
    let gone = 0;
    for (const each of closed) void each.then(() => (gone += 1));
    for (let waited = 0; gone < 200 - usualLimits.connections && waited < 20_000; waited += 50)
      await passed(50);
    expect(gone).toBeGreaterThanOrEqual(200 - usualLimits.connections);
    for (const { socket } of all) socket.destroy();
    await Promise.all(closed);
    // The server learns of it a little later.
    for (let i = 0; i < 100; i += 1) {
      const reply = await send(view.address, "v1/version").catch(() => undefined);
      if (reply) return;
      await passed(50);
    }
  });

  test("20 scores at once: each is answered, or is told to come again", async () => {
    const large = Buffer.concat([Buffer.from(reel), Buffer.alloc(8_000_000, " ")]);
    const replies = await Promise.all(
      Array.from({ length: 20 }, () => send(view.address, "v1/check", score(large)).catch(() => undefined)),
    );
    const told = replies.flatMap((reply) => (reply ? [reply] : []));
    // Who was still sending when it was refused may have been cut off before it read why.
    const having = (wanted: number): number => told.filter(({ status }) => status === wanted).length;
    expect(having(200)).toBeGreaterThan(0);
    expect(having(200)).toBeLessThan(20);
    expect(having(200) + having(503)).toBe(told.length);
    for (const { status, headers } of told) if (status === 503) expect(headers["retry-after"]).toBe("2");
  }, 120_000);

  test.each([
    ["no token", "/v1/check", {}, 404],
    ["no token, and a path to it", "/../v1/check", {}, 404],
    ["a wrong token", `/${"A".repeat(32)}/v1/check`, {}, 404],
    ["a token too many", `/${"A".repeat(3_000)}/v1/check`, {}, 404],
    ["another host", "v1/check", { host: "scores.example" }, 403],
    ["the host's other name", "v1/check", { host: "localhost" }, 403],
    ["another origin", "v1/check", { origin: "http://scores.example" }, 403],
    ["an origin without a name", "v1/check", { origin: "null" }, 403],
    ["another port's origin", "v1/check", { origin: "http://127.0.0.1:1" }, 403],
    ["a form's type", "v1/check", { "content-type": "application/x-www-form-urlencoded" }, 415],
  ])("%s: refused", async (_, path, headers, status) => {
    const reply = await send(view.address, path, score(reel, headers as Record<string, string>));
    expect(reply.status).toBe(status);
    expect(why(reply)).toMatch(/\.$/);
    expect(reply.headers["access-control-allow-origin"]).toBeUndefined();
  });

  test("a whole address in the place of the path, another's or its own: refused", async () => {
    for (const whole of ["http://scores.example/", view.address]) {
      const raw = rawConnection(view.address);
      raw.socket.write(
        `GET ${whole} HTTP/1.1\r\nHost: ${new URL(view.address).host}\r\nConnection: close\r\n\r\n`,
      );
      await raw.closed;
      expect(raw.status()).toBe(404);
    }
  });

  test("what is no HTTP, and a head without end: refused", async () => {
    for (const [text, status] of [
      ["\u0016\u0003\u0001 no HTTP at all\r\n\r\n", 400],
      [`GET / HTTP/1.1\r\n${"X-More: and more\r\n".repeat(5_000)}\r\n`, 431],
    ] as const) {
      const raw = rawConnection(view.address);
      raw.socket.write(text);
      await raw.closed;
      expect(raw.status()).toBe(status);
    }
  });
});

describe("names that lead elsewhere", () => {
  let viewed: ViewedFolder;
  beforeEach(async () => {
    viewed = await viewFolder(demoNames.map(demoPath));
  });
  afterEach(async () => {
    await viewed.close();
    expect(viewed.faults).toEqual([]);
  });

  test("of scores: none is opened, none is changed", async () => {
    const outside = join(temporaryFolder(), "outside.musicxml");
    writeFileSync(outside, reel);
    symlinkSync(outside, join(viewed.folder, "link.musicxml"));
    mkdirSync(join(viewed.folder, "folder.musicxml"));
    viewed.write("notes.txt", reel);
    const ask = (question: string, asks: object) =>
      send(viewed.server.address, `ask/${question}`, {
        body: JSON.stringify(asks),
        headers: { "content-type": "application/json" },
      });
    const change = { kind: "finger", mode: "fresh", hand: "both" };
    for (const uri of [
      outside,
      `../${basename(dirname(outside))}/outside.musicxml`,
      `..%2f${basename(dirname(outside))}%2foutside.musicxml`,
      `file://${outside}`,
      "link.musicxml",
      "folder.musicxml",
      "notes.txt",
      "evening-tide.musicxml\u0000",
      "evening-tide.musicxml\u0000.txt",
      "./evening-tide.musicxml",
      "folder.musicxml/../evening-tide.musicxml",
      `${viewed.folder}/evening-tide.musicxml`,
      "",
      "__proto__",
    ]) {
      for (const [question, asks] of [
        ["read", { uri }],
        ["note", { uri, version: 1, note: "note-0-0" }],
        ["change", { uri, version: 1, change }],
      ] as const) {
        const reply = await ask(question, asks);
        expect([uri, question, reply.status]).toEqual([uri, question, 409]);
        expect(reply.bytes.toString(), uri).not.toContain("Millrace");
      }
    }
    expect(readFileSync(outside, "utf8")).toBe(reel);
    expect(viewed.read("notes.txt")).toBe(reel);
    for (const name of demoNames) expect(viewed.read(name)).toBe(readFileSync(demoPath(name), "utf8"));
  });

  test.each([
    "../package.json",
    "..%2fpackage.json",
    "%2e%2e/package.json",
    "..\\package.json",
    "/etc/passwd",
    "panel.js%00",
    "panel.js/../cli.cjs",
    "./panel.js",
    "cli.cjs",
    "evening-tide.musicxml",
    "constructor",
    "ask/__proto__",
    "v1//check",
    "v1/check/",
  ])("of files: %s is nothing here", async (path) => {
    const reply = await send(viewed.server.address, path);
    expect(reply.status).toBe(404);
    expect(why(reply)).toMatch(/\.$/);
  });
});

describe("a server that waits for nobody long", () => {
  let viewed: ViewedFolder;
  afterEach(async () => {
    const { status } = await send(viewed.server.address, "v1/version");
    expect(status).toBe(200);
    await viewed.close();
    expect(viewed.faults).toEqual([]);
  });

  /** Sends one byte after the other until the other side closes. */
  async function trickle(raw: RawConnection, text: string): Promise<void> {
    for (const byte of text) {
      if (raw.socket.destroyed || raw.status() !== undefined) break;
      raw.socket.write(byte);
      await passed(50);
    }
    await raw.closed;
  }

  test.each(["GET / HTTP/1.1\r\nX-Slow: ", ""])("a head that never comes to its end, %j", async (begun) => {
    viewed = await viewFolder([demoPath(demoNames[0])], { headersMs: 300, requestMs: 600 });
    const raw = rawConnection(viewed.server.address);
    raw.socket.write(begun);
    await (begun === "" ? raw.closed : trickle(raw, "x".repeat(1_000)));
    expect(raw.status()).toBe(408);
  });

  test("a body that never comes to its end", async () => {
    viewed = await viewFolder([demoPath(demoNames[0])], { headersMs: 300, requestMs: 600 });
    const { address } = viewed.server;
    const raw = rawConnection(address);
    raw.socket.write(scoreHead(address, "v1/check", ["Content-Length: 100000"]));
    await trickle(raw, "x".repeat(1_000));
    expect(raw.status()).toBe(408);
  });

  test("an answer that is never read", async () => {
    viewed = await viewFolder([demoPath(demoNames[0])], { unreadMs: 300 });
    const { host, pathname } = new URL(viewed.server.address);
    const raw = rawConnection(viewed.server.address);
    raw.socket.pause();
    raw.socket.write(`GET ${pathname}verovio-module.mjs HTTP/1.1\r\nHost: ${host}\r\n\r\n`);
    await passed(2_000);
    raw.socket.resume();
    await raw.closed;
    const whole = await send(viewed.server.address, "verovio-module.mjs");
    expect(raw.received()).toBeLessThan(whole.bytes.length);
  });

  test("more requests in hand, and more bytes, than there may be", async () => {
    viewed = await viewFolder([demoPath(demoNames[0])], { inHand: 2, heldBytes: 1_000_000 });
    const { address } = viewed.server;
    const slow = [1, 2].map(() => {
      const raw = rawConnection(address);
      raw.socket.write(scoreHead(address, "v1/check", ["Content-Length: 1000"]));
      raw.socket.write("<");
      return raw;
    });
    await passed(500);
    const third = await send(address, "v1/check", score("<broken"));
    expect([third.status, third.headers["retry-after"]]).toEqual([503, "2"]);
    for (const { socket } of slow) socket.destroy();
    await passed(500);
    const large = await send(address, "v1/check", score(Buffer.alloc(1_500_000, " ")));
    expect(large.status).toBe(503);
    expect((json(await send(address, "v1/check", score("<broken"))) as { version: number }).version).toBe(1);
  });

  test("a score that takes too long is given up, and the next one is not", async () => {
    viewed = await viewFolder([demoPath(demoNames[0])], { workMs: 1 });
    const late = await send(viewed.server.address, "v1/finger", score(reel));
    expect([late.status, why(late)]).toEqual([422, expect.stringMatching(/took longer than 0\.001 seconds/)]);
  });

  test("who goes away leaves no work behind", async () => {
    viewed = await viewFolder([demoPath(demoNames[0])]);
    const { address } = viewed.server;
    const raw = rawConnection(address);
    raw.socket.write(scoreHead(address, "v1/finger", [`Content-Length: ${Buffer.byteLength(reel)}`]));
    raw.socket.write(reel);
    await passed(200);
    raw.socket.destroy();
    expect((await send(address, "v1/check", score(reel))).status).toBe(200);
  });
});
