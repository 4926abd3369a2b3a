import { appendFileSync, mkdirSync, readFileSync, renameSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import { expect, test, vi } from "vitest";
import { isBelow, ScoreWatch } from "../../server/files/scoreWatch.ts";
import { temporaryFolder } from "../support/commandLine.ts";
import { Dice } from "../support/randomLines.ts";
import { tinyScore } from "../support/tinyScore.ts";

/** A score whose content tells which save it was. */
const saved = (n: number): string =>
  tinyScore("C4 D4 E4 F4").text.replace("</part-name>", ` ${n}</part-name>`);

interface Told {
  readonly path: string;
  readonly text: string;
}

async function watching(folder: string, leftOut?: string): Promise<{ told: Told[]; scores: ScoreWatch }> {
  const told: Told[] = [];
  const scores = new ScoreWatch(folder, {
    leftOut,
    onSaved: async (path, bytes) => {
      told.push({ path, text: Buffer.from(bytes).toString() });
    },
  });
  await scores.start();
  return { told, scores };
}

test("a thousand saves in bursts, in place and by renaming: each final state once, no half of one", {
  timeout: 120_000,
}, async () => {
  const folder = temporaryFolder();
  const paths = Array.from({ length: 5 }, (_, i) => join(folder, `song-${i}.musicxml`));
  for (const path of paths) writeFileSync(path, saved(0));
  const { told, scores } = await watching(folder);
  const dice = new Dice(12);
  const last = new Map<string, string>();
  for (let n = 1; n <= 1000; n += 1) {
    const path = dice.oneOf(paths);
    const text = saved(n);
    if (dice.chance(0.5)) {
      writeFileSync(`${path}.tmp`, text);
      renameSync(`${path}.tmp`, path);
    } else {
      const half = dice.whole(1, text.length - 1);
      writeFileSync(path, text.slice(0, half));
      if (dice.chance(0.05)) await pause(5);
      appendFileSync(path, text.slice(half));
    }
    last.set(path, text);
    if (n % 100 === 0) await pause(300);
    else if (dice.chance(0.05)) await pause(10);
  }
  await vi.waitFor(
    () => {
      for (const [path, text] of last) expect(told.findLast((one) => one.path === path)?.text).toBe(text);
    },
    { timeout: 60_000, interval: 100 },
  );
  await pause(500);
  await scores.close();
  for (const [path, text] of last) {
    expect(told.filter((one) => one.path === path && one.text === text)).toHaveLength(1);
  }
  expect(told.every(({ text }) => text.endsWith("</score-partwise>\n"))).toBe(true);
  expect(told.length).toBeLessThan(1000);
});

test("what is saved again unchanged, is no score, or lies in the folder for results is not told", {
  timeout: 60_000,
}, async () => {
  const folder = temporaryFolder();
  const results = join(folder, "fingered");
  mkdirSync(results);
  const path = join(folder, "song.musicxml");
  writeFileSync(path, saved(1));
  const { told, scores } = await watching(folder, results);
  writeFileSync(path, saved(1));
  writeFileSync(join(results, "song.musicxml"), saved(2));
  writeFileSync(join(folder, "notes.txt"), "x");
  writeFileSync(join(folder, "new.musicxml"), saved(3));
  await vi.waitFor(() => expect(told).toHaveLength(1), { timeout: 30_000, interval: 50 });
  expect(told[0]).toEqual({ path: join(folder, "new.musicxml"), text: saved(3) });
  await pause(500);
  await scores.close();
  expect(told).toHaveLength(1);
  expect(readFileSync(path, "utf8")).toBe(saved(1));
});

test("a file that ends in the middle is waited for", { timeout: 60_000 }, async () => {
  const folder = temporaryFolder();
  const { told, scores } = await watching(folder);
  const path = join(folder, "song.musicxml");
  const text = saved(1);
  writeFileSync(path, text.slice(0, 500));
  await pause(700);
  expect(told).toEqual([]);
  appendFileSync(path, text.slice(500));
  await vi.waitFor(() => expect(told).toEqual([{ path, text }]), { timeout: 30_000, interval: 50 });
  await scores.close();
});

test("what lies below a folder", () => {
  expect(isBelow("/a/b/c", "/a/b")).toBe(true);
  expect(isBelow("/a/b", "/a/b")).toBe(true);
  expect(isBelow("/a/bc", "/a/b")).toBe(false);
  expect(isBelow("/a", "/a/b")).toBe(false);
  expect(isBelow("/a/..b", "/a")).toBe(true);
});
