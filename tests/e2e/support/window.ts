import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { type Browser, chromium, type FrameLocator, type Locator, type Page } from "playwright-core";
import { projectFolder } from "../../support/built.ts";
import type { RunningWorkbench } from "./workbench.ts";

/** How long anything may take on a busy machine, in milliseconds. */
export const patience = 90_000;
/** One step of the workbench takes no longer, in milliseconds, or it was missed. */
const stepPatience = 8_000;

const pictures = join(projectFolder, "out", "e2e");

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
  return chromium.launch({ executablePath: "/usr/bin/chromium", args: options });
}

/** A window of the workbench, used as people use it: by keys, clicks, and what is written on things. */
export class Window {
  readonly page: Page;
  #pictures = 0;
  /** What the browser complained about. */
  readonly #complaints: string[] = [];

  private constructor(page: Page) {
    this.page = page;
    page.on("console", (message) => {
      if (message.type() === "error" || message.type() === "warning") this.#complaints.push(message.text());
    });
    page.on("pageerror", (error) => this.#complaints.push(error.message));
  }

  static async open(browser: Browser, { address }: RunningWorkbench, folder: string): Promise<Window> {
    const page = await browser.newPage({ viewport: { width: 1400, height: 900 } });
    page.setDefaultTimeout(patience);
    const window = new Window(page);
    await window.openFolder({ address }, folder);
    return window;
  }

  /** Shows another folder in this window. What runs for the one before is ended by that. */
  async openFolder({ address }: Pick<RunningWorkbench, "address">, folder: string): Promise<void> {
    await this.page.goto(`${address}/?folder=${encodeURIComponent(folder)}`, { waitUntil: "commit" });
    await this.started();
  }

  async started(): Promise<void> {
    await this.page.locator(".monaco-workbench").waitFor();
    await this.page.locator(".explorer-folders-view .monaco-list-row").first().waitFor();
  }

  /** Reloads the window, as its own command does. */
  async reload(): Promise<void> {
    await this.page.reload({ waitUntil: "commit" });
    await this.started();
  }

  /** Keeps a picture for people to look at. */
  async picture(name: string): Promise<void> {
    mkdirSync(pictures, { recursive: true });
    this.#pictures += 1;
    const number = String(this.#pictures).padStart(2, "0");
    await this.page.screenshot({ path: join(pictures, `${number}-${name}.png`) });
  }

  /** Keeps a picture and what the browser complained about, for whoever looks into a failure. */
  async failure(): Promise<void> {
    await this.picture("failed");
    const frames = this.page.frames().map((frame) => `${frame.name()} ${frame.url().slice(0, 120)}`);
    writeFileSync(join(pictures, "failed.txt"), [...frames, "", ...this.#complaints, ""].join("\n"));
  }

  /** Chooses a command by its whole title. */
  async command(title: string): Promise<void> {
    const { page } = this;
    await page.keyboard.press("F1");
    const input = page.locator(".quick-input-widget input");
    await input.waitFor();
    await input.fill(`>${title}`);
    await this.#choose(title);
  }

  /**
   * Opens a file of the folder by its name; asked again when the workbench does not know of the file yet.
   * @returns when it was chosen, as `performance.now` counts.
   */
  async openFile(name: string): Promise<number> {
    const { page } = this;
    const input = page.locator(".quick-input-widget input");
    const row = this.#row(name);
    const deadline = Date.now() + patience;
    for (;;) {
      await page.keyboard.press("Control+P");
      await input.waitFor();
      await input.fill(name);
      const isThere = await row.waitFor({ timeout: stepPatience }).then(
        () => true,
        () => false,
      );
      if (isThere) break;
      if (Date.now() > deadline) throw new Error(`the workbench does not find ${name}`);
      await page.keyboard.press("Escape");
    }
    const chosen = performance.now();
    await this.#choose(name);
    await this.tab(name).waitFor();
    return chosen;
  }

  async #choose(label: string): Promise<void> {
    await this.#untilTaken(() => this.#row(label).click({ timeout: stepPatience }));
  }

  /** The workbench misses what is chosen while it fills its list: then it is chosen again. */
  async #untilTaken(choose: () => Promise<void>): Promise<void> {
    const list = this.page.locator(".quick-input-widget");
    const deadline = Date.now() + patience;
    for (;;) {
      const isTaken = await choose()
        .then(() => list.waitFor({ state: "hidden", timeout: stepPatience }))
        .then(
          () => true,
          () => list.isHidden(),
        );
      if (isTaken) return;
      if (Date.now() > deadline) throw new Error("the workbench does not take what is chosen");
    }
  }

  #row(label: string): Locator {
    return this.page
      .locator(".quick-input-list .monaco-list-row")
      .filter({ has: this.page.locator(".label-name", { hasText: exactly(label) }) })
      .first();
  }

  /** Puts the cursor somewhere in the text in front; from 1. */
  async goTo(line: number, column: number): Promise<void> {
    const { page } = this;
    await page.keyboard.press("Control+G");
    const input = page.locator(".quick-input-widget input");
    await input.waitFor();
    await this.#untilTaken(async () => {
      await input.fill(`:${line}:${column}`, { timeout: stepPatience });
      await input.press("Enter", { timeout: stepPatience });
    });
    await this.statusItem(`Ln ${line}, Col ${column}`).waitFor();
  }

  /** The line of the cursor in the text, as its margin says, from 1; also while something else has the focus. */
  async lineOfCursor(): Promise<number> {
    return Number(await this.page.locator(".monaco-editor .active-line-number").first().textContent());
  }

  tab(name: string): Locator {
    return this.page.locator(`.tabs-container .tab[data-resource-name="${name}"]`);
  }

  /** A tab is marked while its file is not saved. */
  dirtyTab(name: string): Locator {
    return this.page.locator(`.tabs-container .tab.dirty[data-resource-name="${name}"]`);
  }

  async focusTab(name: string): Promise<void> {
    await this.tab(name).click();
    await this.page.locator(`.tabs-container .tab.active[data-resource-name="${name}"]`).waitFor();
  }

  statusItem(text: string | RegExp): Locator {
    return this.page.locator(".statusbar-item", { hasText: text });
  }

  /** The rows of the problems list; it must be in front. */
  get problems(): Locator {
    return this.page.locator(".markers-panel .monaco-list-row");
  }

  async showProblems(): Promise<void> {
    await this.command("Problems: Focus on Problems View");
    await this.page.locator(".markers-panel").waitFor();
  }

  /** Clicks into the text in front, so that keys go there. */
  async focusText(): Promise<void> {
    await this.command("View: Focus Active Editor Group");
  }

  async save(name: string): Promise<void> {
    await this.page.keyboard.press("Control+S");
    await this.dirtyTab(name).waitFor({ state: "detached" });
  }

  /** The page of the panel: inside two frames of the workbench's. */
  get panel(): FrameLocator {
    return this.page.frameLocator("iframe.webview.ready").frameLocator("iframe#active-frame");
  }

  /** Waits until the panel has drawn the score. */
  async drawn(): Promise<void> {
    await this.panel.locator("svg.system-picture g.drawn-over").first().waitFor({ state: "attached" });
  }
}

function exactly(text: string): RegExp {
  return new RegExp(`^${text.replace(/[.*+?^${}()|[\]\\]/g, "\\$&")}$`);
}
