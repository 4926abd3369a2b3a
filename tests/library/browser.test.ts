import { readFileSync } from "node:fs";
import type { Browser } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { applyEdits, finger, readScore } from "../../shared/library/library.ts";
import { describeInBrowser, launch } from "../panel/support/browser.ts";
import { builtFile } from "../support/built.ts";
import { demoText } from "../support/demo.ts";

describeInBrowser("in a browser, without a server of ours", () => {
  let browser: Browser;

  beforeAll(async () => {
    browser = await launch();
  });

  afterAll(() => browser?.close());

  test("a page fingers a file to the same text as elsewhere", { timeout: 120_000 }, async () => {
    const reel = demoText("millrace-reel");
    const page = await browser.newPage();
    // Two files, as any page has them: nothing else can be asked for.
    await page.route("**/*", (route) => {
      const module = route.request().url().endsWith("/library.mjs");
      if (module) {
        return route.fulfill({
          contentType: "text/javascript",
          body: readFileSync(builtFile("library.mjs"), "utf8"),
        });
      }
      return route.request().isNavigationRequest()
        ? route.fulfill({
            contentType: "text/html",
            body: `<!doctype html><script type="module">import * as placewright from "/library.mjs"; Object.assign(window, { placewright });</script>`,
          })
        : route.abort();
    });
    await page.goto("http://page.test/");
    await page.waitForFunction("window.placewright");
    const fingered = await page.evaluate((text) => {
      const { placewright } = globalThis as unknown as {
        placewright: typeof import("../../shared/library/library.ts");
      };
      const score = placewright.readScore(new TextEncoder().encode(text));
      return placewright.applyEdits(score, placewright.finger(score).edits);
    }, reel);
    const score = readScore(reel);
    expect(fingered).toBe(applyEdits(score, finger(score).edits));
  });
});
