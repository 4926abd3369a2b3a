import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import type { Browser, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from "vitest";
import { withoutFingering } from "../support/libxml.ts";
import { clickNote, describeInBrowser, drawn, launch, newPage } from "./support/browser.ts";
import { demoNames, demoPath, type ViewedFolder, viewFolder } from "./support/viewed.ts";

const axeSource = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

describeInBrowser("the page in a browser", () => {
  let viewed: ViewedFolder;
  let browser: Browser;
  let page: Page;
  let complaints: string[];
  beforeAll(async () => {
    browser = await launch();
  });
  afterAll(() => browser?.close());
  // Drawing waits for a busy machine.
  const patience = { timeout: 30_000 };
  const soon = <T>(read: () => Promise<T> | T) => expect.poll(read, patience);
  beforeEach(async () => {
    viewed = await viewFolder(demoNames.map(demoPath));
    ({ page, complaints } = await newPage(browser, { width: 1200, height: 820 }));
    await page.goto(viewed.server.address);
    await drawn(page);
  }, 60_000);
  afterEach(async () => {
    await page?.close();
    await viewed?.close();
    expect(viewed.faults).toEqual([]);
  });

  async function show(name: string): Promise<void> {
    await page.selectOption(".scores select", name);
    const title = /<work-title>([^<]*)/.exec(readFileSync(demoPath(name), "utf8"))![1]!;
    await page.waitForFunction((wanted) => document.title.startsWith(wanted), title);
    await drawn(page);
  }

  test("a way that is used is printed, and nothing else of the file changes", async () => {
    const before = viewed.read("evening-tide.musicxml");
    await clickNote(page, "note-0-70");
    await page
      .getByRole("button", { name: /^Use this way/ })
      .first()
      .waitFor({ timeout: 30_000 });
    const wanted = await page.locator(".ways li").first().locator("strong").allTextContents();
    await page
      .getByRole("button", { name: /^Use this way/ })
      .first()
      .click();
    await page.locator(".notice.done").waitFor();
    await page.locator("#note-0-70").waitFor();
    await soon(() => page.locator('g.fing.printed[data-note="note-0-70"]').count()).toBe(1);
    const after = viewed.read("evening-tide.musicxml");
    expect(after).not.toBe(before);
    expect(withoutFingering(Buffer.from(after))).toBe(withoutFingering(Buffer.from(before)));
    await soon(async () =>
      (await page.locator(".note-pane .placing .fingers-row strong").allTextContents()).join(""),
    ).toContain(wanted.join("").slice(0, 3));
    expect(complaints).toEqual([]);
  });

  test("a finger is printed, taken away and undone by the file's own bytes", async () => {
    const before = viewed.read("millrace-reel.musicxml");
    await show("millrace-reel.musicxml");
    await clickNote(page, "note-0-3");
    await page
      .getByRole("button", { name: /^Print finger \d$/ })
      .first()
      .click();
    await page.locator(".lock.kept").waitFor();
    expect(viewed.read("millrace-reel.musicxml").match(/<fingering/g)?.length).toBe(1);
    await page.getByRole("button", { name: "Take the finger away" }).click();
    await page.locator(".lock.free").waitFor();
    expect(viewed.read("millrace-reel.musicxml")).toBe(before);
  });

  test("bars that are chosen are fingered, and no others", async () => {
    await show("millrace-reel.musicxml");
    await page.getByText("Print fingers", { exact: true }).click();
    await page.getByLabel("From bar").selectOption({ label: "9" });
    await page.getByLabel(/^\s*to bar/).selectOption({ label: "16" });
    await page.getByRole("button", { name: "Finger bars 9 to 16" }).click();
    await page.locator(".notice.done").waitFor();
    const measures = viewed
      .read("millrace-reel.musicxml")
      .split(/<measure number="/)
      .slice(1);
    const fingered = measures
      .filter((each) => each.includes("<fingering"))
      .map((each) => Number.parseInt(each, 10));
    expect(fingered).toEqual([9, 10, 11, 12, 13, 14, 15, 16]);
  });

  test("a passage that is printed otherwise is made alike by one click", async () => {
    await show("lantern-waltz.musicxml");
    await page.getByRole("tab", { name: "Repeats" }).click();
    const unlike = page.locator("button.occurrence.unlike");
    const before = await unlike.count();
    expect(before).toBeGreaterThan(0);
    await unlike.first().click();
    const name = await page.locator(".passage h2").textContent();
    await page.getByRole("button", { name: /^Finger all like/ }).click();
    await page.locator(".notice.done").waitFor();
    await soon(() => unlike.count()).toBeLessThan(before);
    expect(await page.locator(".passage h2").textContent()).toBe(name);
    await soon(() => page.locator(".passage td.differs").count()).toBe(0);
  });

  test("a broken file leaves the last picture, and says since when and why; a mended one is shown", async () => {
    const whole = viewed.read("evening-tide.musicxml");
    viewed.write("evening-tide.musicxml", whole.slice(0, whole.length >> 1));
    const trouble = page.locator(".trouble");
    await trouble.waitFor();
    expect(await trouble.textContent()).toMatch(/cannot be read since .*\d.*Line \d+, column \d+: /);
    expect(await page.locator("#note-0-0").isVisible()).toBe(true);
    viewed.write(
      "evening-tide.musicxml",
      whole.replace("<work-title>Evening Tide", "<work-title>Morning Tide"),
    );
    await trouble.waitFor({ state: "detached" });
    await soon(() => page.locator("h1").textContent()).toBe("Morning Tide");
  });

  test("what is shown follows the file, and the place is kept", async () => {
    await clickNote(page, "note-0-40");
    await page.locator(".systems").evaluate((element) => element.scrollTo(0, 260));
    const top = await page.locator(".systems").evaluate((element) => element.scrollTop);
    const text = viewed.read("evening-tide.musicxml");
    const printed = await page.locator("g.fing.printed").count();
    // One bar's first fingering is taken out, as another program would.
    viewed.write("evening-tide.musicxml", text.replace(/<fingering placement="above">1<\/fingering>/, ""));
    await soon(() => page.locator("g.fing.printed").count()).toBeLessThan(printed);
    expect(await page.locator(".systems").evaluate((element) => element.scrollTop)).toBe(top);
    expect(await page.locator("rect.frame.selected").count()).toBe(1);
  });

  test("view, note, zoom, tempo and place survive a reload", async () => {
    await show("lantern-waltz.musicxml");
    await page.getByRole("button", { name: "Larger notes" }).click();
    await page.getByLabel("Tempo").selectOption("50");
    await clickNote(page, "note-0-20");
    await page.locator(".note-pane h2").waitFor();
    const heading = await page.locator(".note-pane h2").textContent();
    // Larger notes are laid out anew and the chosen one is brought into view: only then is the place a reader's own.
    let stayed = 0;
    await soon(async () => {
      const top = await page.locator(".systems").evaluate((element) => {
        const before = element.scrollTop;
        element.scrollTo(0, 200);
        return before;
      });
      stayed = top === 200 ? stayed + 1 : 0;
      await page.waitForTimeout(200);
      return stayed;
    }).toBeGreaterThan(5);
    await page.reload();
    await drawn(page);
    expect(await page.locator("h1").textContent()).toBe("Lantern Waltz");
    expect(await page.locator(".note-pane h2").textContent()).toBe(heading);
    expect(await page.getByLabel("Tempo").inputValue()).toBe("50");
    await soon(() => page.locator(".systems").evaluate((element) => element.scrollTop)).toBeGreaterThan(100);
    await page.getByRole("tab", { name: "Hands" }).click();
    await page.waitForTimeout(200);
    await page.reload();
    await page.locator(".harp.large svg").waitFor();
    expect(await page.getByRole("tab", { name: "Hands" }).getAttribute("aria-selected")).toBe("true");
  });

  test("the hands follow the music, step by step and by placings", async () => {
    await page.getByRole("tab", { name: "Hands" }).click();
    await page.locator(".harp.large svg").waitFor();
    const words = (): Promise<string | null> => page.locator(".harp.large svg").getAttribute("aria-label");
    const seen = new Set<string | null>();
    for (let i = 0; i < 6; i += 1) {
      await page.getByRole("button", { name: "One note on" }).click();
      seen.add(await words());
    }
    expect(seen.size).toBe(6);
    expect(await words()).toMatch(/just played \d on [A-G]\d/);
    await page.getByRole("button", { name: "One placing on" }).click();
    expect(await page.locator(".finger.placed").count()).toBeGreaterThan(0);
    await page.getByLabel("Go to bar").selectOption({ label: "12" });
    expect(await page.locator(".hand-words p").last().textContent()).toContain("Left hand: bar 12");
    const place = await page.locator(".transport .place").textContent();
    await page.getByRole("button", { name: "Play" }).click();
    await page.waitForTimeout(1500);
    await page.getByRole("button", { name: "Pause" }).click();
    expect(await page.locator(".transport .place").textContent()).not.toBe(place);
    expect(await page.getByLabel("Sound").isChecked()).toBe(false);
  });

  test("everything works by keyboard", async () => {
    await show("millrace-reel.musicxml");
    const tab = async (name: RegExp | string): Promise<void> => {
      for (let i = 0; i < 30; i += 1) {
        await page.keyboard.press("Tab");
        const label = await page.evaluate(
          () =>
            document.activeElement?.getAttribute("aria-label") ?? document.activeElement?.textContent ?? "",
        );
        if (typeof name === "string" ? label === name : name.test(label)) return;
      }
      throw new Error(`the focus never came to ${name}`);
    };
    await page.locator("body").focus();
    await tab(/^Score\./);
    const outline = await page.evaluate(() => getComputedStyle(document.activeElement!).outlineStyle);
    expect(outline).not.toBe("none");
    await page.keyboard.press("Home");
    const heading = page.locator(".note-pane h2");
    await heading.waitFor();
    const first = await heading.textContent();
    await page.keyboard.press("ArrowRight");
    expect(await heading.textContent()).not.toBe(first);
    await page.keyboard.press("ArrowLeft");
    expect(await heading.textContent()).toBe(first);
    await page.keyboard.press("ArrowDown");
    expect(await heading.textContent()).toContain("left hand");
    await page.keyboard.press("2");
    await page.locator(".notice.done").waitFor();
    expect(viewed.read("millrace-reel.musicxml")).toContain(">2</fingering>");
    await soon(() => page.locator(".big-finger.print").count()).toBe(1);
    await page.keyboard.press("Delete");
    await soon(() => viewed.read("millrace-reel.musicxml").includes("<fingering")).toBe(false);
    await page.keyboard.press(" ");
    await page.getByRole("button", { name: "Pause" }).waitFor();
    await page.keyboard.press(" ");
    await page.getByRole("button", { name: "Play" }).waitFor();
    await page.keyboard.press("Shift+Tab");
    await tab(/^Score\./);
    await page.locator("#tab-score").focus();
    await page.keyboard.press("ArrowRight");
    await page.locator(".harp.large").waitFor();
    await page.keyboard.press("ArrowRight");
    await page.locator(".map").waitFor();
  });

  describe("is free of what axe-core calls a violation", () => {
    test.each(["light", "dark", "contrast-light", "contrast-dark"])("in the colours %s", async (theme) => {
      await page.getByTitle("Colours").selectOption(theme);
      await clickNote(page, "note-0-40");
      await page
        .getByRole("button", { name: /^Use this way/ })
        .first()
        .waitFor({ timeout: 30_000 });
      for (const view of ["Score", "Hands", "Repeats"]) {
        await page.getByRole("tab", { name: view }).click();
        if (view === "Repeats") await page.locator("button.occurrence").first().click();
        await page.waitForTimeout(250);
        await page.evaluate(axeSource);
        const violations = await page.evaluate(async () => {
          const { axe } = window as unknown as {
            axe: { run(): Promise<{ violations: { id: string; nodes: { html: string }[] }[] }> };
          };
          return (await axe.run()).violations.map(
            ({ id, nodes }) => `${id}: ${nodes[0]?.html.slice(0, 200)}`,
          );
        });
        expect(violations, view).toEqual([]);
      }
      expect(complaints).toEqual([]);
    });
  });

  test.each([280, 360, 600, 1000, 1600])("fits a width of %i pixels", async (width) => {
    await page.setViewportSize({ width, height: 800 });
    await page.waitForTimeout(400);
    for (const view of ["Score", "Hands", "Repeats"]) {
      await page.getByRole("tab", { name: view }).click();
      await page.waitForTimeout(250);
      const overflow = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
      expect(overflow, view).toBeLessThanOrEqual(0);
    }
    await page.getByRole("tab", { name: "Score" }).click();
    await drawn(page);
    const picture = await page.locator("svg.system-picture").first().boundingBox();
    expect(picture!.width).toBeLessThanOrEqual(width);
  });

  test("motion is reduced when the system asks for it", async () => {
    await page.emulateMedia({ reducedMotion: "reduce" });
    await page.getByRole("tab", { name: "Hands" }).click();
    await page.getByRole("button", { name: "One note on" }).click();
    const animation = await page
      .locator("line.rings")
      .first()
      .evaluate((element) => getComputedStyle(element).animationName);
    expect(animation).toBe("none");
  });

  test("a proof goes to the printer with all systems and what was found", async () => {
    await page.evaluate(() => {
      window.print = () => {
        const proof = document.querySelector(".proof")!;
        document.body.dataset.proof = JSON.stringify({
          notes: proof.querySelectorAll("g.note").length,
          text: proof.textContent,
        });
      };
    });
    await page.getByRole("button", { name: "Print a proof" }).click();
    await page.waitForFunction(() => document.body.dataset.proof !== undefined, undefined, {
      timeout: 40_000,
    });
    const proof = JSON.parse((await page.locator("body").getAttribute("data-proof"))!);
    const pitched = viewed.read("evening-tide.musicxml").match(/<pitch>/g)!.length;
    expect(proof.notes).toBe(pitched);
    expect(proof.text).toContain("Stop on pain; a teacher's or clinician's word goes first.");
  });
});
