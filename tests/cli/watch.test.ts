import { spawn } from "node:child_process";
import { existsSync, mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test, vi } from "vitest";
import { builtFile } from "../support/built.ts";
import { placewright, temporaryFolder } from "../support/commandLine.ts";
import { demoText } from "../support/demo.ts";
import { tinyScore } from "../support/tinyScore.ts";

test("a saved score is checked, and a fingered copy is written beside it", { timeout: 120_000 }, async () => {
  const folder = temporaryFolder();
  mkdirSync(join(folder, "exports"));
  const child = spawn(
    process.execPath,
    [builtFile("cli.cjs"), "watch", "exports", "--write-to", "exports/fingered"],
    {
      cwd: folder,
    },
  );
  let said = "";
  child.stdout.setEncoding("utf8").on("data", (text: string) => {
    said += text;
  });
  child.stderr.setEncoding("utf8").on("data", (text: string) => {
    said += text;
  });
  const ended = new Promise<number | null>((resolve) => child.on("close", resolve));
  const expectSaid = (text: string): Promise<void> =>
    vi.waitFor(() => expect(said).toContain(text), { timeout: 50_000, interval: 50 });
  try {
    await expectSaid("Watching 0 scores in exports.");
    // Where hands are told what to do, the caution stands.
    expect(said).toMatch(/pain/);
    const reel = demoText("millrace-reel");
    const score = join(folder, "exports", "reel.musicxml");
    writeFileSync(score, reel);
    await expectSaid("exports/reel.musicxml: a fingered copy is in exports/fingered/reel.musicxml.");
    expect(readFileSync(score, "utf8")).toBe(reel);
    const copy = readFileSync(join(folder, "exports/fingered/reel.musicxml"), "utf8");
    expect(copy.match(/<fingering/g)!.length).toBeGreaterThan(200);
    writeFileSync(join(folder, "exports", "wrong.musicxml"), tinyScore("C4/4:5 D4/4:2").text);
    await expectSaid("error finger-outside-range:");
    writeFileSync(join(folder, "exports", "broken.musicxml"), "<score-partwise></score-partwise>>");
    await expectSaid("exports/broken.musicxml: saved, ");
    expect(existsSync(join(folder, "exports/fingered/broken.musicxml"))).toBe(false);
  } finally {
    child.kill("SIGTERM");
  }
  expect(await ended).toBe(0);
  expect(said.match(/reel\.musicxml: saved/g)).toHaveLength(1);
});

test("wrong calls are refused", async () => {
  expect((await placewright(["watch"])).err).toContain("Name a folder to watch");
  expect((await placewright(["watch", join(temporaryFolder(), "nowhere")])).code).toBe(2);
  const folder = temporaryFolder();
  const { code, err } = await placewright(["watch", folder, "--write-to", folder]);
  expect(code).toBe(2);
  expect(err).toContain("would take the place of the scores");
});
