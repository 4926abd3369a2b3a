import { spawn } from "node:child_process";
import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { builtFile } from "../support/built.ts";
import { builtPlacewright, placewright, temporaryFolder } from "../support/commandLine.ts";
import { Dice } from "../support/randomLines.ts";
import { tinyScore } from "../support/tinyScore.ts";

/** More rounds than usual: `PLACEWRIGHT_KILLS=20`. */
const rounds = Number(process.env.PLACEWRIGHT_KILLS ?? 4);

/** Different scores, without fingers. */
function scores(count: number): Map<string, string> {
  const dice = new Dice(5);
  return new Map(
    Array.from({ length: count }, (_, i) => {
      const notes = Array.from({ length: 24 }, () => `${"CDEFGAB"[dice.whole(0, 6)]}${dice.whole(3, 5)}`);
      return [`${i}.musicxml`, tinyScore(notes.join(" ")).text] as const;
    }),
  );
}

/** Runs a call and ends it, as a power cut would, once something of it has been seen and a random time has passed. */
async function killed(args: readonly string[], dice: Dice, isUnderWay: () => boolean): Promise<void> {
  const child = spawn(process.execPath, [builtFile("cli.cjs"), ...args], { stdio: "ignore" });
  const ended = new Promise<void>((resolve) => child.on("close", () => resolve()));
  let running = true;
  void ended.then(() => {
    running = false;
  });
  while (running && !isUnderWay()) await new Promise((resolve) => setTimeout(resolve, 2));
  await new Promise((resolve) => setTimeout(resolve, dice.whole(0, 40)));
  child.kill("SIGKILL");
  await ended;
}

test("killed while it writes, every score is as it was or as it shall be", {
  timeout: 30_000 * rounds,
}, async () => {
  const dice = new Dice(1);
  const before = scores(30);
  const finished = temporaryFolder();
  for (const [name, text] of before) writeFileSync(join(finished, name), text);
  await placewright(["finger", finished, "--write"]);
  const after = new Map([...before.keys()].map((name) => [name, readFileSync(join(finished, name), "utf8")]));
  let interrupted = 0;
  for (let round = 0; round < rounds; round += 1) {
    const folder = temporaryFolder();
    for (const [name, text] of before) writeFileSync(join(folder, name), text);
    const now = (name: string): string => readFileSync(join(folder, name), "utf8");
    await killed(["finger", folder, "--write"], dice, () => now("0.musicxml") !== before.get("0.musicxml"));
    const states = [...before].map(([name, old]) => {
      expect([old, after.get(name)]).toContain(now(name));
      return now(name) === old;
    });
    if (states.includes(true) && states.includes(false)) interrupted += 1;
    // What is left lying about is hidden, and the next call finishes the work.
    expect(readdirSync(folder).filter((name) => !name.startsWith("."))).toHaveLength(before.size);
    if (round === 0) {
      await placewright(["finger", folder, "--write"]);
      for (const [name, text] of after) expect(now(name)).toBe(text);
    }
  }
  // It really was under way.
  expect(interrupted).toBeGreaterThan(0);
});

test("killed while it keeps results, the next checks say the same as one that was never disturbed", {
  timeout: 30_000 * rounds,
}, async () => {
  const dice = new Dice(2);
  const folder = temporaryFolder();
  for (const [name, text] of scores(40)) writeFileSync(join(folder, name), text);
  const undisturbed = await builtPlacewright(["check", folder, "--no-cache", "--format", "json"]);
  for (let round = 0; round < rounds; round += 1) {
    const cache = temporaryFolder();
    const call = ["check", folder, "--cache", cache, "--format", "json"];
    const kept = (): number =>
      readdirSync(cache, { recursive: true, encoding: "utf8" }).filter((name) => /[0-9a-f]{64}$/.test(name))
        .length;
    await killed(call, dice, () => kept() > 0);
    const usable = kept();
    const next = await builtPlacewright(call);
    expect(next.out).toBe(undisturbed.out);
    if (usable > 0 && usable < 40) expect(next.err).toMatch(/\(\d+ read anew, the others unchanged\)/);
    expect((await builtPlacewright(call)).err).toContain("(0 read anew");
  }
});
