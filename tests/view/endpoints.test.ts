import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import { demoNames, demoPath, type ViewedFolder, viewFolder } from "../panel/support/viewed.ts";
import { placewright } from "../support/commandLine.ts";
import { containerFile } from "../support/containerFile.ts";
import { demoText } from "../support/demo.ts";
import { withoutFingering } from "../support/libxml.ts";
import { tinyScore } from "../support/tinyScore.ts";
import { json, score, send, why } from "./support/request.ts";

const waltz = demoText("lantern-waltz");
const reel = demoText("millrace-reel");

let viewed: ViewedFolder;
beforeAll(async () => {
  viewed = await viewFolder(demoNames.map(demoPath));
}, 60_000);
afterAll(async () => {
  await viewed.close();
  expect(viewed.faults).toEqual([]);
});

const post = (path: string, body: string | Uint8Array, headers?: Record<string, string>) =>
  send(viewed.server.address, path, score(body, headers));

interface Fingered {
  readonly score: string;
  readonly edits: readonly { readonly start: number; readonly end: number; readonly text: string }[];
  readonly remarks: readonly string[];
  readonly caution: string;
  readonly hands: readonly { readonly hand: string }[];
}

test("checks as the command does, in the same JSON", async () => {
  const { files } = json(await post("v1/check", waltz)) as { files: { path: string }[] };
  const printed = JSON.parse((await placewright(["check", "-", "--format", "json"], waltz)).out);
  expect(files).toEqual([{ ...printed.files[0], path: "<posted>" }]);
});

test("fingers as the command does; JSON says what was changed", async () => {
  const found = json(await post("v1/finger", reel)) as Fingered;
  const filtered = (await placewright(["finger", "-"], reel)).out;
  expect(found.score === filtered, "as the filter").toBe(true);
  expect(found.caution).toMatch(/pain/);
  let text = reel;
  for (const { start, end, text: replacement } of found.edits.toReversed())
    text = text.slice(0, start) + replacement + text.slice(end);
  expect(text === found.score).toBe(true);
  const printed = JSON.parse((await placewright(["finger", "-", "--format", "json"], reel)).out);
  expect(found).toMatchObject({ ...printed, path: "<posted>" });
});

test("MusicXML comes back stored as it was sent: UTF-16, and compressed", async () => {
  const accept = { accept: "application/vnd.recordare.musicxml+xml" };
  const utf16 = Buffer.from(`\ufeff${reel.replace("UTF-8", "UTF-16")}`, "utf16le");
  const plain = await post("v1/finger", utf16, accept);
  expect(plain.headers["content-type"]).toBe("application/vnd.recordare.musicxml+xml");
  const text = plain.bytes.toString("utf16le");
  expect(text.startsWith("\ufeff<?xml")).toBe(true);
  const inUtf8 = Buffer.from(text.slice(1).replace("UTF-16", "UTF-8"));
  expect(withoutFingering(inUtf8)).toBe(withoutFingering(Buffer.from(reel)));
  const packed = await post("v1/finger", containerFile(reel), {
    ...accept,
    "content-type": "application/vnd.recordare.musicxml",
  });
  expect(packed.headers["content-type"]).toBe("application/vnd.recordare.musicxml");
  expect(packed.bytes.subarray(0, 2).toString()).toBe("PK");
});

test("bars, hand and whether print is kept can be chosen", async () => {
  const { text } = tinyScore("C4:4 D4:3 | E4 F4 | G4 A4");
  const first = json(await post("v1/finger?firstBar=2&lastBar=2&hand=right", text)) as Fingered;
  expect([...first.score.matchAll(/<fingering[^>]*>(\d)/g)]).toHaveLength(4);
  const rest = json(await post("v1/finger?firstBar=2", text)) as Fingered;
  expect([...rest.score.matchAll(/<fingering[^>]*>(\d)/g)]).toHaveLength(6);
  const { text: odd } = tinyScore("C4:1 D4:1 E4:1");
  expect((json(await post("v1/finger?mode=fresh", odd)) as Fingered).score).not.toBe(
    (json(await post("v1/finger?mode=keep", odd)) as Fingered).score,
  );
});

test.each([
  ["v1/finger?bars=3", 400, /There is no "bars"/],
  ["v1/finger?mode=best", 400, /"mode" cannot be "best"/],
  ["v1/finger?mode=keep&mode=fresh", 400, /stands here twice/],
  ["v1/check?profile=/etc/passwd", 400, /"profile" cannot be/],
  ["v1/finger?firstBar=99", 422, /There is no bar "99"\. The bars are numbered from 1 to/],
  ["v1/finger?firstBar=3&lastBar=2", 422, /Bar 3 comes after bar 2/],
  ["v1/finger?part=Tuba", 422, /Tuba/],
])("%s is refused with %i and a sentence", async (path, status, words) => {
  const reply = await post(path, reel);
  expect(reply.status).toBe(status);
  expect(why(reply)).toMatch(words);
});

test("what is no score: check tells it as it tells all else, finger refuses it", async () => {
  for (const text of ["", "no XML at all", "<score-partwise><part-list>", "<html/>"]) {
    const { status, bytes } = await post("v1/check", text);
    expect([text, status]).toEqual([text, 200]);
    const { files } = JSON.parse(bytes.toString());
    expect(files[0].problems[0].severity, text).toBe("error");
    const refused = await post("v1/finger", text);
    expect(refused.status, text).toBe(422);
    expect(why(refused).length, text).toBeGreaterThan(10);
  }
});

test("a method or a name that is not there, and a body of another type", async () => {
  const { address } = viewed.server;
  const wrong = await send(address, "v1/check");
  expect([wrong.status, wrong.headers.allow]).toEqual([405, "POST"]);
  const put = await send(address, "v1/version", { method: "PUT" });
  expect([put.status, put.headers.allow]).toEqual([405, "GET"]);
  expect((await send(address, "", { method: "DELETE" })).headers.allow).toBe("GET");
  expect((await send(address, "v2/check", score(reel))).status).toBe(404);
  const plain = await send(address, "v1/check", score(reel, { "content-type": "text/plain" }));
  expect([plain.status, why(plain)]).toEqual([415, expect.stringContaining("application/xml")]);
  const bad = await send(address, "ask/read", {
    body: "{",
    headers: { "content-type": "application/json" },
  });
  expect(bad.status).toBe(400);
  const empty = await send(address, "ask/read", {
    body: "{}",
    headers: { "content-type": "application/json" },
  });
  expect([empty.status, why(empty)]).toEqual([400, 'This needs "uri".']);
});

test("the settings of the folder count, and what is wrong in them is told", async () => {
  const { text } = tinyScore("C4:1 D4:5");
  const rules = async (): Promise<string[]> => {
    const { files } = json(await post("v1/check", text)) as { files: { findings: { rule: string }[] }[] };
    return files[0]!.findings.map(({ rule }) => rule);
  };
  expect(await rules()).toContain("finger-outside-range");
  try {
    viewed.write("placewright.json", '{ "root": true, "severity": { "finger-outside-range": "off" } }');
    expect(await rules()).not.toContain("finger-outside-range");
  } finally {
    rmSync(join(viewed.folder, "placewright.json"));
  }
});

test("a score that is sent along never gets near a disk", async () => {
  const temporary = mkdtempSync(join(tmpdir(), "placewright-empty-"));
  const before = process.env.TMPDIR;
  process.env.TMPDIR = temporary;
  try {
    await post("v1/finger", reel);
    expect(readdirSync(temporary)).toEqual([]);
    expect(readdirSync(viewed.folder).sort()).toEqual([...demoNames].sort());
    for (const name of demoNames) expect(viewed.read(name)).toBe(readFileSync(demoPath(name), "utf8"));
  } finally {
    if (before === undefined) delete process.env.TMPDIR;
    else process.env.TMPDIR = before;
    rmSync(temporary, { recursive: true });
  }
  expect(existsSync(temporary)).toBe(false);
});
