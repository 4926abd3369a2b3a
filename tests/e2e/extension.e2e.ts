import { unzipSync } from "fflate";
import type { Browser } from "playwright-core";
import { afterAll, afterEach, beforeAll, describe, expect, test } from "vitest";
import { besideTheScore, containerFile } from "../support/containerFile.ts";
import { demoText, withoutFingering } from "../support/demo.ts";
import { generatedScore } from "../support/generatedScore.ts";
import { Folder, offsetOfLine, placeAt } from "./support/scores.ts";
import { launch, patience, Window } from "./support/window.ts";
import { type RunningWorkbench, startWorkbench } from "./support/workbench.ts";

const waltz = "lantern-waltz.musicxml";
const original = demoText("lantern-waltz");

const soon = <T>(read: () => Promise<T> | T) => expect.poll(read, { timeout: patience, interval: 150 });

describe("the packed extension in a workbench", () => {
  const folder = new Folder("scores");
  const other = new Folder("letters");
  let workbench: RunningWorkbench;
  let browser: Browser;
  let window: Window;

  beforeAll(async () => {
    folder.write(waltz, original);
    [workbench, browser] = await Promise.all([startWorkbench("main"), launch()]);
    window = await Window.open(browser, workbench, folder.path);
  });
  afterAll(async () => {
    await browser?.close();
    workbench?.close();
  });
  afterEach(async ({ task }) => {
    if (task.result?.state === "fail") await window?.failure();
  });

  const finding = (rule: string) => {
    const found = folder.findings(waltz).find((each) => each.rule === rule);
    if (!found) throw new Error(`${waltz} has no ${rule}`);
    return found;
  };
  const listed = (): Promise<string[]> => window.problems.allTextContents();

  test("findings of a score that is opened are in the problems list, and counted below", async () => {
    await window.openFile(waltz);
    await window.showProblems();
    const findings = folder.findings(waltz);
    expect(findings.length).toBeGreaterThan(2);
    for (const { message, range } of findings) {
      const place = `[Ln ${range.start.line}, Col ${range.start.column}]`;
      await soon(listed).toContainEqual(expect.stringContaining(message));
      await soon(listed).toContainEqual(expect.stringContaining(place));
    }
    await window.statusItem(`${findings.length} to look at`).waitFor();
    await window.picture("findings");
  });

  test("notes say what they are, and bars what stands in them", async () => {
    const { line, column } = placeAt(original, original.indexOf("<note"));
    await window.focusText();
    await window.goTo(line, column);
    const text = window.page.locator(".monaco-editor .view-lines");
    await soon(() => text.textContent()).toMatch(/bar\u00a01,\u00a0beat\u00a01|bar 1, beat 1/);
    const bar = placeAt(original, original.indexOf('<measure number="2"'));
    await window.goTo(bar.line, bar.column);
    await window.page.locator(".codelens-decoration:visible").first().waitFor();
    await window.picture("text");
  });

  test("a quick fix from the light bulb mends what it says, and nothing else", async () => {
    const { range, fixes } = finding("unmatched-bracket-end");
    await window.focusText();
    await window.goTo(range.start.line, range.start.column + 2);
    await window.page.locator(".monaco-editor .codicon-light-bulb").first().click();
    const fix = window.page.locator(".action-widget .monaco-list-row", { hasText: fixes[0]!.title });
    await fix.waitFor();
    await window.picture("light-bulb");
    await fix.click();
    await window.dirtyTab(waltz).waitFor();
    await window.save(waltz);
    const rules = folder.findings(waltz).map(({ rule }) => rule);
    expect(rules).not.toContain("unmatched-bracket-end");
    expect(folder.text(waltz).length).toBeGreaterThan(original.length);
    expect(withoutFingering(folder.text(waltz))).toBe(withoutFingering(original));
    await soon(listed).not.toContainEqual(expect.stringContaining("never stops"));
  });

  test("undo takes it back to the last byte", async () => {
    await window.focusText();
    await window.page.keyboard.press("Control+Z");
    await window.dirtyTab(waltz).waitFor();
    await window.save(waltz);
    expect(folder.text(waltz)).toBe(original);
    await soon(listed).toContainEqual(expect.stringContaining("never stops"));
  });

  test("findings follow what is typed", async () => {
    const offset = original.search(/[1-4]<\/fingering>/) + 1;
    const { line, column } = placeAt(original, offset);
    await window.focusText();
    await window.goTo(line, column);
    await window.page.keyboard.press("Backspace");
    await window.page.keyboard.type("7");
    await soon(listed).toContainEqual(expect.stringContaining(`[Ln ${line}, `));
    await window.focusText();
    await window.command("File: Revert File");
    await window.dirtyTab(waltz).waitFor({ state: "detached" });
    await soon(listed).not.toContainEqual(expect.stringContaining(`[Ln ${line}, `));
  });

  test("the panel opens beside the text and draws the score", async () => {
    await window.page.locator('.editor-actions a[aria-label^="See the hands"]').click();
    await window.drawn();
    await soon(() => window.panel.locator("h1").textContent()).toBe("Lantern Waltz");
    await window.picture("panel");
  });

  test("a note that is selected in the text is selected in the panel, and the other way round", async () => {
    const { range, bar } = finding("passage-fingered-otherwise");
    await window.focusTab(waltz);
    await window.goTo(range.start.line, range.start.column + 2);
    const heading = window.panel.locator(".note-pane h2");
    await soon(() => heading.textContent()).toMatch(new RegExp(`F#5.*; bar ${bar}, .*right hand`));
    const selected = await heading.textContent();
    await window.panel.locator(".systems").press("ArrowRight");
    await soon(() => heading.textContent()).not.toBe(selected);
    const next = original.indexOf("<note>", offsetOfLine(original, range.start.line));
    await soon(() => window.lineOfCursor()).toBe(placeAt(original, next).line);
    await window.picture("note");
  });

  test("what comes back is made alike from the panel, in one step to undo", async () => {
    await window.panel.getByRole("tab", { name: "Repeats" }).click();
    await window.panel.locator("button.occurrence.unlike").first().click();
    await window.picture("repeats");
    await window.panel.getByRole("button", { name: /^Finger all like bar/ }).click();
    await window.panel.locator(".notice.done").waitFor();
    await window.dirtyTab(waltz).waitFor();
    await window.focusTab(waltz);
    await window.save(waltz);
    expect(folder.findings(waltz).map(({ rule }) => rule)).not.toContain("passage-fingered-otherwise");
    expect(withoutFingering(folder.text(waltz))).toBe(withoutFingering(original));
    await window.panel.getByText("It is fingered alike wherever it stands.").waitFor();
    await window.picture("made-alike");
    await window.focusTab(waltz);
    await window.page.keyboard.press("Control+Z");
    await window.dirtyTab(waltz).waitFor();
    await window.save(waltz);
    expect(folder.text(waltz)).toBe(original);
  });

  test("text, panel and findings follow a file that another program saves", async () => {
    await window.panel.getByRole("tab", { name: "Score" }).click();
    const other = original.replace("<work-title>Lantern", "<work-title>Candle");
    folder.write(waltz, other.replace(/(<fingering[^>]*>)[1-4](<\/fingering>)/, "$17$2"));
    await soon(() => window.panel.locator("h1").textContent()).toBe("Candle Waltz");
    const line = placeAt(other, other.search(/<fingering/)).line;
    await soon(listed).toContainEqual(expect.stringContaining(`[Ln ${line}, `));
    expect(await window.dirtyTab(waltz).count()).toBe(0);
    await window.picture("replaced");
    folder.write(waltz, original);
    await soon(() => window.panel.locator("h1").textContent()).toBe("Lantern Waltz");
    await soon(listed).not.toContainEqual(expect.stringContaining(`[Ln ${line}, `));
  });

  test("a reload of the window restores the panel", async () => {
    const heading = await window.panel.locator(".note-pane h2").textContent();
    await window.reload();
    await soon(() => window.panel.locator(".note-pane h2").textContent()).toBe(heading);
    // The editor may have kept the view before the last one: it saves them now and then.
    await window.panel.getByRole("tab", { name: "Score" }).click();
    await window.drawn();
    await window.picture("reloaded");
  });

  test("settings complete and explain themselves, and count at once", async () => {
    await window.focusTab(waltz);
    await window.command("Placewright: Say who plays, for the scores of this folder");
    await window.tab("placewright.json").waitFor();
    const text = folder.text("placewright.json");
    const { line, column } = placeAt(text, text.indexOf("usual"));
    await window.goTo(line, column);
    await window.page.keyboard.press("Control+Delete");
    await window.page.keyboard.press("Control+Space");
    const suggestion = window.page.locator(".suggest-widget .monaco-list-row", { hasText: "small-hand" });
    await suggestion.waitFor();
    await window.picture("settings");
    await suggestion.click();
    await window.save("placewright.json");
    expect(JSON.parse(folder.text("placewright.json"))).toEqual({ profile: "small-hand" });
    const count = folder.findings(waltz).length;
    await window.focusTab(waltz);
    await window.statusItem(`${count} to look at`).waitFor();
  });

  test("a score in XML is read too, and other XML is left alone", async () => {
    folder.write("reel.xml", demoText("millrace-reel"));
    folder.write("list.xml", "<list><item/></list>\n");
    await window.openFile("reel.xml");
    await window.statusItem(/^\d+ to look at$|Nothing to look at/).waitFor();
    await window.openFile("list.xml");
    await soon(() => window.statusItem(/to look at/).count()).toBe(0);
  });

  test("settings of the editor's show or hide what is said in the text", async () => {
    await window.openFile("reel.xml");
    const { line, column } = placeAt(demoText("millrace-reel"), demoText("millrace-reel").indexOf("<note"));
    await window.goTo(line, column);
    const text = window.page.locator(".monaco-editor .view-lines");
    await soon(() => text.textContent()).toMatch(/beat\s1/);
    folder.editorSettings({ "placewright.notes.show": false, "placewright.statusBar.show": false });
    await soon(() => text.textContent()).not.toMatch(/beat\s1/);
    await soon(() => window.statusItem(/to look at/).count()).toBe(0);
    folder.editorSettings({});
    await soon(() => text.textContent()).toMatch(/beat\s1/);
  });

  test("a compressed score shows the panel and is saved into its container", async () => {
    await window.command("View: Close All Editors");
    folder.write("waltz.mxl", containerFile(original));
    const before = Object.keys(unzipSync(folder.bytes("waltz.mxl")));
    await window.openFile("waltz.mxl");
    await window.drawn();
    const fix = window.panel.getByRole("button", { name: "Add the missing end of the bracket" }).first();
    await fix.waitFor();
    await window.picture("compressed");
    await fix.click();
    await window.dirtyTab("waltz.mxl").waitFor();
    await soon(() => fix.count()).toBe(0);
    await window.save("waltz.mxl");
    const files = unzipSync(folder.bytes("waltz.mxl"));
    expect(Object.keys(files)).toEqual(before);
    expect(files["pictures/cover.bin"]).toEqual(besideTheScore);
    const saved = new TextDecoder().decode(files["score.xml"]);
    expect(saved).not.toBe(original);
    expect(withoutFingering(saved)).toBe(withoutFingering(original));
    expect(folder.findings("waltz.mxl").map(({ rule }) => rule)).not.toContain("unmatched-bracket-end");
  });

  test("a compressed score takes back and does again, and follows its file", async () => {
    const saved = folder.bytes("waltz.mxl");
    const fix = window.panel.getByRole("button", { name: "Add the missing end of the bracket" }).first();
    await window.command("Undo");
    await fix.waitFor();
    await window.dirtyTab("waltz.mxl").waitFor();
    await window.command("Redo");
    await soon(() => fix.count()).toBe(0);
    await window.save("waltz.mxl");
    expect(folder.bytes("waltz.mxl").equals(saved)).toBe(true);
    folder.write("waltz.mxl", containerFile(original.replace("Lantern", "Candle")));
    await soon(() => window.panel.locator("h1").textContent()).toBe("Candle Waltz");
    await fix.waitFor();
  });

  test("a compressed score that was closed opens again as it was saved", async () => {
    folder.write("waltz.mxl", containerFile(original));
    await soon(() => window.panel.locator("h1").textContent()).toBe("Lantern Waltz");
    await window.command("Placewright: Finger the whole score");
    await window.dirtyTab("waltz.mxl").waitFor();
    await window.save("waltz.mxl");
    await window.command("View: Close All Editors");
    await window.openFile("waltz.mxl");
    await window.drawn();
    expect(await window.panel.locator("g.fing.proposed").count()).toBe(0);
    expect(await window.panel.locator("g.fing.printed").count()).toBeGreaterThan(0);
    await window.picture("compressed-again");
  });

  test("a window without scores does not wake the extension, and other XML starts no server", async () => {
    other.write("letter.txt", "Dear harpist\n");
    other.write("list.xml", "<list><item/></list>\n");
    const wakings = workbench.wakings();
    expect(wakings).toBeGreaterThan(0);
    await window.openFolder(workbench, other.path);
    await soon(() => workbench.languageServers()).toEqual([]);
    await window.openFile("letter.txt");
    await window.page.locator(".monaco-editor .view-lines").getByText("Dear harpist").waitFor();
    expect(workbench.wakings()).toBe(wakings);
    await window.openFile("list.xml");
    await soon(() => workbench.wakings()).toBe(wakings + 1);
    expect(workbench.languageServers()).toEqual([]);
    await window.picture("no-score");
  });

  test("a score of 300 kB is read soon after it was opened", async () => {
    other.write("long.musicxml", generatedScore(300_000));
    const seconds: number[] = [];
    for (const _ of ["with the server's start", "without it"]) {
      const begin = await window.openFile("long.musicxml");
      await window.statusItem(/\d+ to look at/).waitFor();
      seconds.push((performance.now() - begin) / 1000);
      await window.command("View: Close All Editors");
      await soon(() => window.statusItem(/to look at/).count()).toBe(0);
    }
    const [cold, warm] = seconds.map((each) => each.toFixed(1));
    process.stderr.write(`From choosing a score of 300 kB to its findings: ${cold} s, again ${warm} s.\n`);
    await window.command("Placewright: Open a demo score");
    await window.statusItem(/\d+ to look at/).waitFor();
    await window.picture("demo");
  });
});
