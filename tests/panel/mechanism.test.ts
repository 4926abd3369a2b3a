import { copyFileSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import type { Browser } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { comingMoves, moveWords, positionAt, standingWords } from "../../client/panel/view/mechanismAt.ts";
import { harpPreset } from "../../shared/harp/instruments.ts";
import { openTuning } from "../../shared/harp/tunings.ts";
import { analyse, type Settings } from "../../shared/service/analyse.ts";
import type { PanelMechanism } from "../../shared/service/panelMechanism.ts";
import { panelReading } from "../../shared/service/panelScore.ts";
import { projectFolder } from "../support/built.ts";
import { tinyScore } from "../support/tinyScore.ts";
import { describeInBrowser, drawn, launch, newPage } from "./support/browser.ts";
import { viewFolder } from "./support/viewed.ts";

const pedalHarp: Settings = { instrument: { harp: harpPreset("pedal-47")! } };
const leverHarp: Settings = { instrument: { harp: harpPreset("lever-34")!, open: openTuning("Eb")! } };

function mechanismOf(music: string, settings?: Settings): PanelMechanism | undefined {
  const reading = panelReading(analyse(tinyScore(music).text, settings));
  if (reading.state !== "score") throw new Error(reading.why);
  return reading.mechanism;
}

const second = 1_000_000;

// Order and feet: MusicXML 4.0, complexType harp-pedals; harpspectrum.org. A foot needs half a second: E. Volpé Bligh.
test("pedals stand as they are first needed, and move half a second before their notes", () => {
  const pedals = mechanismOf("@60 F#4/2 Bb4/2 | F4/4", pedalHarp)!;
  expect(pedals.settings.map(({ name, foot }) => `${name} ${foot}`)).toEqual([
    "D left",
    "C left",
    "B left",
    "E right",
    "F right",
    "G right",
    "A right",
  ]);
  expect(standingWords(pedals, 0)).toBe("Pedals: left foot D♮ C♮ B♭, right foot E♮ F♯ G♮ A♮.");
  expect(standingWords(pedals, 3.4 * second)).toContain("F♯");
  expect(standingWords(pedals, 3.6 * second)).toContain("F♮");
  const [move] = comingMoves(pedals, 0, 3);
  expect(moveWords(pedals, move!)).toBe("Bar 2, beat 1: F pedal to natural, right foot.");
  expect(comingMoves(pedals, 4 * second, 3)).toEqual([]);
});

test("levers: those up at the start, what the left hand moves and when, and what it has no time for", () => {
  const levers = mechanismOf("R: @60 A4/1 Ab4/1 E4/2 | A4/4 // L: C3/1 r/3 | C3/4", leverHarp)!;
  expect(standingWords(levers, 0)).toBe("Levers up: E4, A4.");
  expect(comingMoves(levers, 0, 3).map((move) => moveWords(levers, move))).toEqual([
    "Bar 1, beat 2: A4 lever down, left hand, before its C3 in bar 2, beat 1.",
    "Bar 2, beat 1: A4 lever up, left hand, before its C3 in bar 2, beat 1.",
  ]);
  expect(standingWords(levers, 1 * second)).toBe("Levers up: E4.");
  expect(standingWords(levers, 4 * second)).toBe("Levers up: E4, A4.");
  const busy = mechanismOf("R: @60 F4/1 A4/1 F#4/1 A4/1 // L: C3 Eb3 G3 C4 Bb3 G3 Eb3 C3", leverHarp)!;
  const words = busy.moves.map((move) => moveWords(busy, move));
  expect(words).toEqual([
    "Bar 1, beat 3: F4 lever up, left hand, no time for it, unless the right hand reaches it.",
  ]);
});

test("a change that only a repeat asks for says so, and the levers shown are those of the page", () => {
  const { text } = tinyScore("@60 F4/4 | F#4/4");
  const end = text.lastIndexOf("</measure>");
  const repeated = `${text.slice(0, end)}<barline location="right"><repeat direction="backward"/></barline>${text.slice(end)}`;
  const reading = panelReading(analyse(repeated, pedalHarp));
  const { mechanism } = reading as { readonly mechanism: PanelMechanism };
  expect(mechanism.moves.map((move) => moveWords(mechanism, move))).toEqual([
    "Bar 1, beat 1: F pedal to natural, right foot, when the music comes back here.",
    "Bar 2, beat 1: F pedal to sharp, right foot.",
  ]);
  const pedal = mechanism.settings.find(({ name }) => name === "F")!;
  expect([0, 4 * second].map((micros) => positionAt(pedal, micros))).toEqual(["natural", "sharp"]);
});

test("at every note of the lever demo the string stands as the note needs it", () => {
  const text = readFileSync(poolPath, "utf8");
  const analysis = analyse(text, leverHarp);
  const reading = panelReading(analysis);
  const { mechanism } = reading as { readonly mechanism: PanelMechanism };
  let checked = 0;
  for (const { line } of analysis.hands) {
    for (const { notes, atMicros } of line.events) {
      for (const { note } of notes) {
        const { letter, octave, alter } = note.pitch;
        const setting = mechanism.settings.find(({ name }) => name === `${letter}${octave}`);
        if (!setting) continue;
        // In E flat major the open strings of E, A and B are flat; a lever raises by a semitone.
        const open = "EAB".includes(letter) ? -1 : 0;
        expect(positionAt(setting, atMicros), `${letter}${octave} in bar ${note.measure.number}`).toBe(
          alter === open ? "down" : "up",
        );
        checked += 1;
      }
    }
  }
  expect(checked).toBeGreaterThan(100);
});

test("without a harp, or without its tuning, there is nothing to show", () => {
  expect(mechanismOf("C4 D4")).toBeUndefined();
  expect(mechanismOf("C4 D4", { instrument: { harp: harpPreset("lever-34")! } })).toBeUndefined();
});

const axeSource = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const poolPath = join(projectFolder, "fixtures", "levers", "quarry-pool.musicxml");

describeInBrowser("the page", () => {
  let browser: Browser;
  beforeAll(async () => {
    browser = await launch();
  });
  afterAll(() => browser?.close());

  test("shows the levers at the moment, what comes, and goes to the note of a change", async () => {
    const viewed = await viewFolder([poolPath]);
    copyFileSync(
      join(projectFolder, "fixtures", "levers", "placewright.json"),
      join(viewed.folder, "placewright.json"),
    );
    const { page, complaints } = await newPage(browser, { width: 1100, height: 900 });
    try {
      await page.goto(viewed.server.address);
      await drawn(page);
      await page.getByRole("tab", { name: "Hands" }).click();
      const levers = page.getByRole("region", { name: "Levers" });
      await levers.waitFor();
      expect(await levers.getByRole("img").getAttribute("aria-label")).toBe("Levers up: A2, A4, A5.");
      expect(await levers.locator('.slot[data-position="up"]').count()).toBe(3);
      const first = levers.getByRole("list", { name: "Changes that come" }).getByRole("button").first();
      expect(await first.textContent()).toBe(
        "Bar 6, beat 2: E5 lever up, left hand, before its G2 in bar 5, beat 1.",
      );
      await first.click();
      await expect
        .poll(() => levers.locator('.slot[data-name="E5"]').getAttribute("data-position"))
        .toBe("up");
      expect(await page.locator(".transport .place").textContent()).toContain("6");
      await page.evaluate(axeSource);
      const violations = await page.evaluate(async () => {
        const { axe } = window as unknown as {
          axe: { run(): Promise<{ violations: { id: string; nodes: { html: string }[] }[] }> };
        };
        return (await axe.run()).violations.map(({ id, nodes }) => `${id}: ${nodes[0]?.html}`);
      });
      expect(violations).toEqual([]);
      await page.setViewportSize({ width: 280, height: 800 });
      await expect
        .poll(() => page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth))
        .toBeLessThanOrEqual(0);
      await page.evaluate(() => {
        window.print = () => {
          document.body.dataset.proof = document.querySelector(".proof")!.textContent!;
        };
      });
      await page.setViewportSize({ width: 1100, height: 900 });
      await page.getByRole("button", { name: "Print a proof" }).click();
      await page.waitForFunction(() => document.body.dataset.proof !== undefined, undefined, {
        timeout: 40_000,
      });
      const proof = await page.locator("body").getAttribute("data-proof");
      expect(proof).toContain("Before the piece. Levers up: A2, A4, A5.");
      expect(proof).toContain("Bar 15, beat 3: F4 lever up, left hand, before its C3 in bar 13, beat 1.");
      expect(complaints).toEqual([]);
    } finally {
      await page.close();
      await viewed.close();
    }
    expect(viewed.faults).toEqual([]);
  }, 90_000);
});
