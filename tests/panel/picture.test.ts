import { readFileSync } from "node:fs";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { describeInBrowser, drawn, launch, newPage } from "./support/browser.ts";
import { printedIn } from "./support/printed.ts";
import { demoNames, demoPath, type ViewedFolder, viewFolder } from "./support/viewed.ts";

describeInBrowser("the picture against another reader of the file", () => {
  let viewed: ViewedFolder;
  let browser: Browser;
  beforeAll(async () => {
    viewed = await viewFolder(demoNames.map(demoPath));
    browser = await launch();
  }, 60_000);
  afterAll(async () => {
    await browser?.close();
    await viewed?.close();
  });

  // A window so high that every system is near what is seen.
  const high = { width: 1100, height: 9000 };

  async function open(name: string): Promise<{ page: Page; complaints: string[] }> {
    const { page, complaints } = await newPage(browser, high);
    await page.goto(viewed.server.address);
    await drawn(page);
    await page.selectOption(".scores select", name);
    await page.waitForFunction(
      (title) => document.title.startsWith(title) && !document.querySelector(".system-box:empty"),
      titleOf(name),
    );
    await page.waitForTimeout(300);
    return { page, complaints };
  }

  function titleOf(name: string): string {
    return /<work-title>([^<]*)/.exec(readFileSync(demoPath(name), "utf8"))![1]!;
  }

  test.each(demoNames)("%s: every note once, with its printed digits, and every bracket", async (name) => {
    const { page, complaints } = await open(name);
    const printed = printedIn(readFileSync(demoPath(name), "utf8"));
    const shown = await page.evaluate(() => {
      const indexOf = (id: string): number => Number(id.split("-").at(-1));
      const digits: Record<number, string[]> = {};
      for (const note of document.querySelectorAll("g.note")) digits[indexOf(note.id)] = [];
      for (const fing of document.querySelectorAll<SVGGElement>("g.fing.printed"))
        digits[indexOf(fing.getAttribute("data-note")!)]!.push(fing.textContent!.trim());
      const notes = [...document.querySelectorAll("g.note")].map(({ id }) => id);
      const lowest = (ids: string): number => Math.min(...ids.split(" ").map(indexOf));
      const brackets = [...document.querySelectorAll("path.bracket.printed")].map(
        (path) => `${lowest(path.getAttribute("data-first")!)} ${lowest(path.getAttribute("data-last")!)}`,
      );
      return { notes, digits, brackets: [...new Set(brackets)].sort() };
    });
    expect(new Set(shown.notes).size).toBe(shown.notes.length);
    expect(shown.notes.length).toBe(printed.digits.length);
    const digits = printed.digits.map((_, i) => shown.digits[i]);
    expect(digits).toEqual(printed.digits);
    expect(shown.brackets).toEqual(printed.brackets);
    expect(complaints).toEqual([]);
    await page.close();
  });

  test("proposed fingers stand where none are printed, told apart by more than colour, and can be hidden", async () => {
    const { page } = await open("millrace-reel.musicxml");
    const proposed = page.locator("g.fing.proposed");
    expect(await proposed.count()).toBeGreaterThan(200);
    expect(await page.locator("g.fing.proposed > line.proposal-rule").count()).toBe(await proposed.count());
    const style = await proposed.first().evaluate((element) => getComputedStyle(element).fontStyle);
    expect(style).toBe("italic");
    const dashes = await page
      .locator("path.bracket.proposed")
      .first()
      .evaluate((element) => getComputedStyle(element).strokeDasharray);
    expect(dashes).not.toBe("none");
    await page.getByLabel("Proposal").uncheck();
    expect(await proposed.first().isVisible()).toBe(false);
    expect(await page.locator("path.bracket.proposed").count()).toBe(0);
    await page.close();
  });
});
