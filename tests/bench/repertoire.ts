/** How fast `placewright check` goes through a repertoire: by jobs, in shares, again, and how much memory it needs. */
import { type ChildProcess, spawn, spawnSync } from "node:child_process";
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { extname, join } from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import { builtFile } from "../support/built.ts";
import { corpusFiles, hasCorpus } from "../support/corpus.ts";
import { demoText } from "../support/demo.ts";
import { residentMegabytes, tellsMemory } from "../support/processMemory.ts";
import { Dice } from "../support/randomLines.ts";
import { tinyScore } from "../support/tinyScore.ts";

/** How often each piece stands in the repertoire, each time with other words in it, so that none is known already. */
const copies = 4;
/** The first part is taken for the harp: few pieces say that they have one. */
const asHarp = ["--part", "P1"];
const smallFiles = 10_000;

interface Run {
  readonly seconds: number;
  readonly megabytes: number;
  readonly output: string;
}

const say = (line: string): void => void process.stdout.write(`${line}\n`);

async function check(args: readonly string[]): Promise<Run> {
  const begin = performance.now();
  const child = spawn(
    process.execPath,
    [builtFile("cli.cjs"), "check", ...args, "--format", "json", ...asHarp],
    {
      stdio: ["ignore", "pipe", "ignore"],
    },
  );
  const chunks: Buffer[] = [];
  child.stdout.on("data", (chunk: Buffer) => chunks.push(chunk));
  const ended = new Promise<void>((done) => child.on("close", () => done()));
  const most = await mostMemory(child);
  await ended;
  return {
    seconds: (performance.now() - begin) / 1000,
    megabytes: most,
    output: Buffer.concat(chunks).toString("utf8"),
  };
}

/** The most that a process has had of the machine's memory until it ends, in megabytes; 0 where that is not told. */
async function mostMemory(child: ChildProcess): Promise<number> {
  let most = 0;
  while (child.exitCode === null && child.signalCode === null) {
    try {
      if (tellsMemory) most = Math.max(most, residentMegabytes(child.pid!) || 0);
    } catch {
      break;
    }
    await pause(50);
  }
  return most;
}

/** A comment in the text makes it another file and the same music; what is compressed stays as it is, once. */
function otherCopy(bytes: Uint8Array, name: string, copy: number): Uint8Array | undefined {
  if (copy === 0) return bytes;
  if (extname(name) === ".mxl") return undefined;
  const text = Buffer.from(bytes).toString("latin1");
  const at = text.lastIndexOf("</score-");
  if (at < 0) return undefined;
  return Buffer.from(`${text.slice(0, at)}<!--${copy}-->${text.slice(at)}`, "latin1");
}

function pieces(): { name: string; bytes: Uint8Array }[] {
  if (hasCorpus) return corpusFiles().map((file) => ({ name: file.path, bytes: file.bytes() }));
  const demos = ["lantern-waltz", "evening-tide", "millrace-reel"] as const;
  return demos.map((name) => ({ name: `${name}.musicxml`, bytes: Buffer.from(demoText(name)) }));
}

function listed(folder: string, output: string): string {
  const { files } = JSON.parse(output) as { files: { path: string }[] };
  return JSON.stringify(files.map((file) => ({ ...file, path: file.path.replace(folder, "") })));
}

async function ofARepertoire(root: string): Promise<void> {
  const folder = join(root, "repertoire");
  let count = 0;
  let bytesInAll = 0;
  for (let copy = 0; copy < copies; copy += 1) {
    for (const { name, bytes } of pieces()) {
      const content = otherCopy(bytes, name, copy);
      if (!content) continue;
      const path = join(folder, String(copy), name);
      mkdirSync(join(path, ".."), { recursive: true });
      writeFileSync(path, content);
      count += 1;
      bytesInAll += content.length;
    }
  }
  const megabytes = bytesInAll / 1e6;
  say(`${count} files, ${megabytes.toFixed(1)} MB${hasCorpus ? "" : " (demo pieces only)"}`);
  const speed = ({ seconds, megabytes: most }: Run): string =>
    `${seconds.toFixed(1)} s, ${(count / seconds).toFixed(0)} files and ${(megabytes / seconds).toFixed(1)} MB a second, at most ${most.toFixed(0)} MB of memory`;
  const one = await check([folder, "--no-cache", "--jobs", "1"]);
  say(`1 job: ${speed(one)}`);
  const two = await check([folder, "--no-cache", "--jobs", "2"]);
  say(`2 jobs: ${speed(two)}, ${(one.seconds / two.seconds).toFixed(2)} times as fast`);
  say(`the same findings: ${listed(folder, one.output) === listed(folder, two.output) ? "yes" : "NO"}`);

  const shares: string[] = [];
  const times: number[] = [];
  for (let share = 1; share <= 3; share += 1) {
    const part = await check([folder, "--no-cache", "--jobs", "2", "--shard", `${share}/3`]);
    times.push(part.seconds);
    shares.push(join(root, `share-${share}.json`));
    writeFileSync(shares.at(-1)!, part.output);
  }
  const merged = join(root, "merged.json");
  const { stdout } = spawnSync(
    process.execPath,
    [builtFile("cli.cjs"), "merge", ...shares, "--format", "json"],
    { encoding: "utf8", maxBuffer: 2 ** 30 },
  );
  writeFileSync(merged, stdout);
  say(
    `3 shares: ${times.map((each) => each.toFixed(1)).join(", ")} s; merged as the whole run: ${readFileSync(merged, "utf8") === two.output ? "yes" : "NO"}`,
  );

  const cache = join(root, "cache");
  const first = await check([folder, "--cache", cache]);
  const second = await check([folder, "--cache", cache]);
  say(
    `with a cache: first ${first.seconds.toFixed(1)} s, again ${second.seconds.toFixed(2)} s, ${(first.seconds / second.seconds).toFixed(0)} times as fast, the same: ${first.output === second.output ? "yes" : "NO"}`,
  );
}

async function ofManySmallFiles(root: string): Promise<void> {
  const folder = join(root, "small");
  const dice = new Dice(1);
  for (let file = 0; file < smallFiles; file += 1) {
    const inFolder = join(folder, String(Math.floor(file / 500)));
    mkdirSync(inFolder, { recursive: true });
    const line = Array.from({ length: 8 }, () => `${dice.oneOf([..."CDEFGAB"])}4:${dice.whole(1, 4)}`).join(
      " ",
    );
    writeFileSync(join(inFolder, `${file}.musicxml`), tinyScore(line).text);
  }
  const { seconds, megabytes } = await check([folder, "--no-cache"]);
  say(
    `${smallFiles} small files: ${seconds.toFixed(1)} s, ${(smallFiles / seconds).toFixed(0)} files a second, at most ${megabytes.toFixed(0)} MB of memory`,
  );
}

const root = mkdtempSync(join(tmpdir(), "placewright-bench-"));
try {
  await ofARepertoire(root);
  await ofManySmallFiles(root);
} finally {
  rmSync(root, { recursive: true, force: true });
}
