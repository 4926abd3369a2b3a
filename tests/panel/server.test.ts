import { existsSync, writeFileSync } from "node:fs";
import { request } from "node:http";
import { join } from "node:path";
import { afterEach, beforeEach, expect, test } from "vitest";
import type { PanelAnswer, PanelChanged, PanelScoreName } from "../../shared/protocol/panel.ts";
import { demoNames, demoPath, type ViewedFolder, viewFolder } from "./support/viewed.ts";

let viewed: ViewedFolder;
beforeEach(async () => {
  viewed = await viewFolder(demoNames.map(demoPath));
});
afterEach(async () => {
  await viewed.close();
  expect(viewed.faults).toEqual([]);
});

interface Reply {
  readonly status: number;
  readonly text: string;
  readonly headers: Record<string, string | string[] | undefined>;
}

function send(
  path: string,
  options: { method?: string; headers?: Record<string, string>; body?: string } = {},
): Promise<Reply> {
  const { hostname, port, pathname } = new URL(viewed.server.address);
  return new Promise((resolve, reject) => {
    const asked = request(
      {
        hostname,
        port,
        path: path.startsWith("/") ? path : pathname + path,
        method: options.method ?? "GET",
        headers: options.headers,
      },
      (response) => {
        let text = "";
        response.setEncoding("utf8");
        response.on("data", (chunk) => {
          text += chunk;
        });
        response.on("end", () =>
          resolve({ status: response.statusCode ?? 0, text, headers: response.headers }),
        );
      },
    );
    asked.on("error", reject);
    asked.end(options.body);
  });
}

async function ask<T>(question: string, asks: unknown): Promise<T> {
  const reply = await send(`ask/${question}`, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(asks),
  });
  if (reply.status !== 200) throw new Error(`${reply.status} ${JSON.parse(reply.text).error}`);
  return JSON.parse(reply.text) as T;
}

test("it listens on the loopback address only, at an address with a long token", () => {
  expect(viewed.server.address).toMatch(/^http:\/\/127\.0\.0\.1:\d+\/[\w-]{32}\/$/);
});

test("the page has a strict security policy and is never kept by a browser", async () => {
  const { status, headers, text } = await send("");
  expect(status).toBe(200);
  const policy = String(headers["content-security-policy"]);
  expect(policy).toContain("default-src 'none'");
  expect(policy).not.toMatch(/unsafe-inline|'unsafe-eval'|\*/);
  expect(headers["cache-control"]).toBe("no-store");
  const nonce = /script-src 'nonce-([^']+)'/.exec(policy)![1]!;
  expect(text).toContain(`<script nonce="${nonce}"`);
  expect(String((await send("")).headers["content-security-policy"])).not.toContain(nonce);
});

test.each([
  ["without the token", "/", {}, 404],
  ["with a wrong token", "/AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA/", {}, 404],
  ["for another host", "", { host: "scores.example" }, 403],
  ["from another origin", "", { origin: "http://scores.example" }, 403],
  ["from an origin without a name", "", { origin: "null" }, 403],
  ["for a file that is not the page's", "cli.cjs", {}, 404],
  ["for a file above the page", "../package.json", {}, 404],
])("a request %s is refused", async (_, path, headers, status) => {
  expect((await send(path, { headers: headers as Record<string, string> })).status).toBe(status);
});

test("a question from a form of another page is refused", async () => {
  const asks = { method: "POST", body: JSON.stringify({}), headers: { "content-type": "text/plain" } };
  expect((await send("ask/scores", asks)).status).toBe(415);
});

test("it lists the scores of a folder, and opens no other file", async () => {
  const scores = await ask<PanelScoreName[]>("scores", {});
  expect(scores.map(({ name }) => name)).toEqual([...demoNames]);
  await expect(ask("read", { uri: "../package.json" })).rejects.toThrow(/409 There is no such score/);
  await expect(ask("read", { uri: "/etc/hostname" })).rejects.toThrow(/409 There is no such score/);
});

test("a change is refused for a file that is another one by now; its bytes stay", async () => {
  const uri = "evening-tide.musicxml";
  const { version } = await ask<PanelAnswer>("read", { uri });
  const changed = viewed.read(uri).replace("Slow, like water", "Slow, like ice");
  viewed.write(uri, changed);
  const change = { kind: "finger", mode: "keep", hand: "both" };
  await expect(ask("change", { uri, version, change })).rejects.toThrow(/409 The file has changed meanwhile/);
  expect(viewed.read(uri)).toBe(changed);
  const again = await ask<PanelAnswer>("read", { uri });
  expect(again.version).toBeGreaterThan(version);
  const done = await ask<PanelChanged>("change", {
    uri,
    version: again.version,
    change: { kind: "keep", note: "note-0-0", finger: 3 },
  });
  expect(done).toEqual({ label: "Print finger 3", edits: 1 });
  expect(viewed.read(uri)).toContain("Slow, like ice");
});

test.each([
  [{ kind: "keep", note: "note-0-0", finger: 5 }, /5 is no finger/],
  [{ kind: "keep", note: "note-9-0", finger: 1 }, /There is no such note/],
  [{ kind: "way", note: "note-0-0", way: 99 }, /There is no such way/],
  [{ kind: "alike", passage: 999, model: 0, target: "all" }, /There is no such passage/],
  [{ kind: "fix", finding: 999, fix: 0 }, /There is no such fix/],
  [{ kind: "erase" }, /no change that the panel can make/],
])("a change that fits nothing is refused with a sentence: %j", async (change, why) => {
  const uri = "evening-tide.musicxml";
  const before = viewed.read(uri);
  const { version } = await ask<PanelAnswer>("read", { uri });
  await expect(ask("change", { uri, version, change })).rejects.toThrow(why);
  expect(viewed.read(uri)).toBe(before);
});

test("a file that is gone or broken is said to be so, and no question is asked about it", async () => {
  const uri = "lantern-waltz.musicxml";
  const { version } = await ask<PanelAnswer>("read", { uri });
  viewed.write(uri, "<score-partwise><part-list>");
  const { reading } = await ask<PanelAnswer>("read", { uri });
  expect(reading.state).toBe("broken");
  await expect(ask("note", { uri, version, note: "note-0-0" })).rejects.toThrow(/changed meanwhile/);
  expect(existsSync(join(viewed.folder, uri))).toBe(true);
});

test("news comes when another program saves", async () => {
  const uri = "millrace-reel.musicxml";
  await ask("read", { uri });
  const { hostname, port, pathname } = new URL(viewed.server.address);
  const heard = await new Promise<string>((resolve, reject) => {
    const listening = request({ hostname, port, path: `${pathname}news` }, (response) => {
      response.setEncoding("utf8");
      response.on("data", (chunk: string) => {
        if (chunk.startsWith(":")) {
          writeFileSync(join(viewed.folder, uri), viewed.read(uri).replace("Millrace", "Mill race"));
          return;
        }
        listening.destroy();
        resolve(chunk);
      });
    });
    listening.on("error", reject);
    listening.end();
  });
  expect(JSON.parse(heard.replace(/^data: /, ""))).toEqual({ kind: "changed", uri });
});

test("a finding that is meant is noted beside the score, whose bytes stay, and is told no more", async () => {
  const uri = "lantern-waltz.musicxml";
  const before = viewed.read(uri);
  const messages = ({ reading }: PanelAnswer): string[] =>
    reading.state === "score" ? reading.findings.map(({ message }) => message) : [];
  const first = await ask<PanelAnswer>("read", { uri });
  const [meant] = messages(first);
  const change = { kind: "accept", finding: 0, reason: "as the composer has it" };
  expect(await ask<PanelChanged>("change", { uri, version: first.version, change })).toEqual({
    label: "Mark as intended",
    edits: 1,
  });
  expect(viewed.read(uri)).toBe(before);
  const { accepted } = JSON.parse(viewed.read("placewright.accepted.json"));
  expect(accepted).toMatchObject([{ score: uri, finding: meant, reason: "as the composer has it" }]);
  const now = await ask<PanelAnswer>("read", { uri });
  expect(now.version).toBeGreaterThan(first.version);
  expect(messages(now)).toEqual(messages(first).slice(1));
  // The list is another one by now: a number from the old one could mean another finding.
  await expect(ask("change", { uri, version: first.version, change })).rejects.toThrow(/409/);
  viewed.write("placewright.accepted.json", '{ "accepted": [] }');
  expect(messages(await ask<PanelAnswer>("read", { uri }))).toEqual(messages(first));
});
