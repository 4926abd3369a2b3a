import { existsSync } from "node:fs";
import { type Browser, chromium, type Page } from "playwright-core";
import { describe } from "vitest";

/** Where Debian puts the browser. */
const executablePath = "/usr/bin/chromium";
export const hasBrowser = existsSync(executablePath);
if (!hasBrowser) console.error(`There is no ${executablePath}: the panel is not tested in a browser.`);

/** Tests that need a browser; left out, with the message above, where there is none. */
export const describeInBrowser = hasBrowser ? describe : describe.skip;

const options = [
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];

export function launch(): Promise<Browser> {
  return chromium.launch({ executablePath, args: options });
}

/** A page that keeps what the browser complains about. */
export interface WatchedPage {
  readonly page: Page;
  readonly complaints: string[];
}

export async function newPage(
  browser: Browser,
  viewport: { width: number; height: number },
): Promise<WatchedPage> {
  const page = await browser.newPage({ viewport });
  const complaints: string[] = [];
  page.on("console", (message) => {
    if (message.type() === "error") complaints.push(message.text());
  });
  page.on("pageerror", (error) => complaints.push(error.message));
  return { page, complaints };
}

/** Waits until the first system is drawn. */
export async function drawn(page: Page): Promise<void> {
  await page.waitForSelector("svg.system-picture g.drawn-over", { state: "attached", timeout: 50_000 });
}

/** Selects a note as a click on its head does. */
export async function clickNote(page: Page, id: string): Promise<void> {
  await page.locator(`#${id} > .notehead`).dispatchEvent("click");
}
