/** How long the panel takes from a saved keystroke to a fresh picture, and whether its page grows over many of them. */
import { existsSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { type CDPSession, chromium, type Page } from "playwright-core";
import { analyse } from "../../shared/service/analyse.ts";
import { AnalysisMemory } from "../../shared/service/analysisMemory.ts";
import { panelReading } from "../../shared/service/panelScore.ts";
import { viewFolder } from "../panel/support/viewed.ts";
import { largeScore } from "../support/largeScore.ts";

const executablePath = "/usr/bin/chromium";
const updates = Number(process.argv[2] ?? 500);
/** About a thousand notes. */
const text = largeScore(610_000);
/** The note whose finger is typed over, in sight. */
const note = "note-0-0";

const finger = /<fingering[^>]*>\d/.exec(text)!;
const at = finger.index + finger[0].length - 1;

function typed(round: number): string {
  return `${text.slice(0, at)}${1 + (round % 4)}${text.slice(at + 1)}`;
}

const memory = new AnalysisMemory();

/** What of the time is the server's. */
function serverMs(round: number): number {
  const start = performance.now();
  JSON.stringify(panelReading(analyse(typed(round), {}, memory)));
  return performance.now() - start;
}

async function shows(page: Page, round: number): Promise<void> {
  const fingers = page.locator(`g.fing[data-note="${note}"]`);
  const shown = fingers.filter({ hasText: `${1 + (round % 4)}` }).first();
  await shown.waitFor({ state: "attached", timeout: 120_000 });
}

async function heapMegabytes(session: CDPSession): Promise<number> {
  await session.send("HeapProfiler.collectGarbage");
  const { usedSize } = await session.send("Runtime.getHeapUsage");
  return usedSize / 1e6;
}

function median(values: readonly number[]): string {
  const sorted = [...values].sort((a, b) => a - b);
  return `${Math.round(sorted[Math.floor(sorted.length / 2)]!)} ms`;
}

async function run(): Promise<void> {
  const say = (line: string): void => void process.stdout.write(`${line}\n`);
  const folder = mkdtempSync(join(tmpdir(), "placewright-panel-"));
  const path = join(folder, "thousand.musicxml");
  writeFileSync(path, typed(0));
  const viewed = await viewFolder([path]);
  const browser = await chromium.launch({ executablePath, args: ["--no-sandbox", "--disable-gpu"] });
  try {
    const page = await browser.newPage({ viewport: { width: 1_000, height: 800 } });
    await page.goto(viewed.server.address);
    await shows(page, 0);
    const notes = panelReading(analyse(text));
    say(`notes: ${notes.state === "score" ? notes.notes.length : 0}`);
    const session = await page.context().newCDPSession(page);
    const whole: number[] = [];
    const server: number[] = [];
    const engraving: number[] = [];
    serverMs(0);
    for (let round = 1; round <= updates; round += 1) {
      if (round <= 20) server.push(serverMs(round));
      const start = performance.now();
      viewed.write("thousand.musicxml", typed(round));
      await shows(page, round);
      whole.push(performance.now() - start);
      engraving.push(
        await page.evaluate(() => performance.getEntriesByName("engraving").at(-1)?.duration ?? 0),
      );
      if (round === 1 || round % Math.max(1, updates / 10) === 0)
        say(`after ${round} updates the page's heap has ${(await heapMegabytes(session)).toFixed(1)} MB`);
    }
    say(
      `from a saved file to the fresh picture: median ${median(whole)}; of that the server ${median(server)}, engraving ${median(engraving)}`,
    );
  } finally {
    await browser.close();
    await viewed.close();
    rmSync(folder, { recursive: true });
  }
}

if (existsSync(executablePath)) await run();
else process.stdout.write(`There is no ${executablePath}: the panel is not timed.\n`);
