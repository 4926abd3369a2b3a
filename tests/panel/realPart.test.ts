import { existsSync, readFileSync } from "node:fs";
import type { Browser } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { decodeScoreFile } from "../../shared/musicxml/scoreFile.ts";
import { clickNote, describeInBrowser, drawn, launch, newPage } from "./support/browser.ts";
import { printedIn } from "./support/printed.ts";
import { realScorePath, type ViewedFolder, viewFolder } from "./support/viewed.ts";

const isThere = existsSync(realScorePath);
if (!isThere) console.error(`There is no ${realScorePath}: the panel is not tested on a real harp part.`);

describeInBrowser("a real harp part, out of a symphonic piece", () => {
  let viewed: ViewedFolder;
  let browser: Browser;
  beforeAll(async () => {
    if (!isThere) return;
    viewed = await viewFolder([realScorePath]);
    browser = await launch();
  }, 60_000);
  afterAll(async () => {
    await browser?.close();
    await viewed?.close();
  });

  test.skipIf(!isThere)(
    "only systems near what is seen are drawn, each note of the harp's part once",
    async () => {
      const { page, complaints } = await newPage(browser, { width: 900, height: 700 });
      await page.goto(viewed.server.address);
      await drawn(page);
      await page.waitForTimeout(1500);
      const systems = await page.locator(".system").count();
      const pictures = await page.locator("svg.system-picture").count();
      expect(systems).toBeGreaterThan(12);
      expect(pictures).toBeLessThan(systems);
      await page.setViewportSize({ width: 900, height: 24_000 });
      await page.waitForFunction(() => !document.querySelector(".system-box:empty"), undefined, {
        timeout: 50_000,
      });
      const ids = await page.evaluate(() => [...document.querySelectorAll("g.note")].map(({ id }) => id));
      expect(new Set(ids).size).toBe(ids.length);
      const { text } = decodeScoreFile(readFileSync(realScorePath));
      const parts = [...text.matchAll(/<part id="([^"]*)"/g)].map(([, id]) => id);
      const harp = /<score-part id="([^"]*)">\s*<part-name[^>]*>Harp</.exec(text)![1]!;
      expect(ids.length).toBe(printedIn(text, parts.indexOf(harp) + 1).digits.length);
      expect(complaints).toEqual([]);
      await page.close();
    },
  );

  test.skipIf(!isThere)("the hands and the map show it too", async () => {
    const { page, complaints } = await newPage(browser, { width: 900, height: 700 });
    await page.goto(viewed.server.address);
    await drawn(page);
    await clickNote(
      page,
      await page
        .locator("g.note")
        .first()
        .getAttribute("id")
        .then((id) => id!),
    );
    await page.getByRole("tab", { name: "Hands" }).click();
    await page.locator(".harp.large svg").waitFor();
    // Written for a pedal harp: at least as many strings as the piece needs.
    expect(await page.locator(".harp.large .string").count()).toBeGreaterThanOrEqual(34);
    await page.getByRole("tab", { name: "Repeats" }).click();
    await page.locator(".map").waitFor();
    expect(complaints).toEqual([]);
    await page.close();
  });
});
