import { existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { chromium } from "playwright-core";
import { describe, expect, test } from "vitest";
import { projectFolder } from "../support/built.ts";
import { builtPlacewright, placewright, temporaryFolder } from "../support/commandLine.ts";
import { tinyScore } from "../support/tinyScore.ts";

const demo = join(projectFolder, "fixtures/demo");
const browser = "/usr/bin/chromium";

async function proofOf(path: string): Promise<{ page: string; file: string }> {
  const file = join(temporaryFolder(), "proof.html");
  const { code, out, err } = await builtPlacewright(["report", path, "--out", file]);
  expect({ code, out }).toEqual({ code: 0, out: "" });
  expect(err).toContain("proof written to");
  return { page: readFileSync(file, "utf8"), file };
}

/** Run in the page: the height of each system, and how many marks reach out of it. */
const measured = `[...document.querySelectorAll(".system")].map((system) => {
  const frame = system.getBoundingClientRect();
  const marks = [...system.querySelectorAll(".mark, .placing")].map((each) => each.getBoundingClientRect());
  const outside = marks.filter((mark) => mark.top < frame.top - 1 || mark.bottom > frame.bottom + 1).length;
  return { height: frame.height, outside };
})`;

interface Found {
  readonly message: string;
}

async function findingsOf(path: string): Promise<readonly Found[]> {
  const { out } = await placewright(["check", path, "--format", "json"]);
  return JSON.parse(out).files[0].findings;
}

function asHtml(text: string): string {
  return text
    .replaceAll("&", "&amp;")
    .replaceAll("<", "&lt;")
    .replaceAll(">", "&gt;")
    .replaceAll('"', "&quot;")
    .replaceAll("'", "&#39;");
}

describe("a proof", () => {
  test("has the music, a number for each finding, what comes back, and needs nothing beside it", async () => {
    const path = join(demo, "lantern-waltz.musicxml");
    const { page } = await proofOf(path);
    expect(page).not.toMatch(/<script|<link|<img|\bsrc=|@import|url\((?!data:)/);
    const findings = await findingsOf(path);
    expect(findings.length).toBeGreaterThan(3);
    findings.forEach(({ message }, i) => {
      expect(page).toContain(`">${i + 1}</span></td>`);
      expect(page).toContain(asHtml(message));
    });
    const marked = [...page.matchAll(/<g class="mark \w+"><rect[^>]*\/><text[^>]*>([\d,]+)</g)].flatMap(
      ([, label]) => label!.split(","),
    );
    expect(new Set(marked)).toEqual(new Set(findings.map((_, i) => String(i + 1))));
    for (const heading of ["Why it matters", "What comes back", "For the hands", "Settings"]) {
      expect(page).toContain(`<h2>${heading}</h2>`);
    }
    expect(page).toContain("Stop on pain");
  });

  test("tells exceptions with their reasons, and the settings", async () => {
    const folder = temporaryFolder();
    const path = join(folder, "a.musicxml");
    writeFileSync(path, tinyScore("C4:1 D4:5").text);
    const reason = "the <fifth> finger is a joke of the composer's";
    const call = ["check", path, "--accept", "finger-outside-range", "--reason", reason];
    await placewright(call);
    writeFileSync(join(folder, "placewright.json"), '{"profile":"small-hand","tempo":72}');
    const { page } = await proofOf(path);
    expect(page).toContain("<h2>Accepted</h2>");
    expect(page).toContain(asHtml(reason));
    expect(page).toContain("<td>hand small</td>");
    expect(page).toContain("<td>72 quarter notes a minute</td>");
  });

  test("tells how levers are set, every change with who makes it, and what could not be made", async () => {
    const pool = await proofOf(join(projectFolder, "fixtures/levers/quarry-pool.musicxml"));
    expect(pool.page).toContain("<h2>Levers</h2>");
    expect(pool.page).toContain("<p>Before the piece: levers up on A2 A4 A5.</p>");
    expect(pool.page).toContain(
      "<tr><td>6</td><td>2</td><td>E5 up</td><td>left hand, before its G2 in bar 5, beat 1</td></tr>",
    );
    expect(pool.page).not.toContain("What could not be made");
    const folder = temporaryFolder();
    writeFileSync(join(folder, "placewright.json"), '{"root":true,"harp":"pedal-47"}');
    const path = join(folder, "a.musicxml");
    writeFileSync(path, tinyScore("@60 F#4/2 Bb4/2 | F4/3.5 F#4 | G4+Gb5/4").text);
    const { page } = await proofOf(path);
    expect(page).toContain("<h2>Pedals</h2>");
    expect(page).toContain("<p>Before the piece: D C Bb | E F# G A.</p>");
    expect(page).toContain("<tr><td>2</td><td>1</td><td>F natural</td><td>right foot</td></tr>");
    expect(page).toContain("<li>bar 3, beat 1, right hand: G4 Gb5 cannot be had together</li>");
    writeFileSync(path, tinyScore("@60 F4/0.25 F#4/0.25").text);
    expect((await proofOf(path)).page).toContain("<li>bar 1, beat 5/4: no time for F sharp</li>");
    writeFileSync(join(folder, "placewright.json"), '{"root":true}');
    expect((await proofOf(path)).page).not.toContain("<h2>Pedals</h2>");
  });

  test.skipIf(!existsSync(browser))(
    `prints on A4 and Letter with no system cut in two (${browser})`,
    async () => {
      const { file } = await proofOf(join(demo, "lantern-waltz.musicxml"));
      const chrome = await chromium.launch({ executablePath: browser, args: ["--no-sandbox"] });
      try {
        const tab = await chrome.newPage();
        const asked: string[] = [];
        tab.on("request", (request) => asked.push(request.url()));
        await tab.goto(pathToFileURL(file).href);
        expect(asked.filter((url) => !url.startsWith("data:"))).toEqual([pathToFileURL(file).href]);
        for (const format of ["A4", "Letter"] as const) {
          const pdf = (await tab.pdf({ format, printBackground: true })).toString("latin1");
          expect(pdf.match(/\/Type\s*\/Page\b/g)!.length).toBeGreaterThan(1);
        }
        // All that is drawn lies within its own system, and every system is lower than a page.
        await tab.emulateMedia({ media: "print" });
        const heights: { height: number; outside: number }[] = await tab.evaluate(measured);
        expect(heights.length).toBeGreaterThan(2);
        for (const { height, outside } of heights) {
          expect(height).toBeLessThan(900);
          expect(outside).toBe(0);
        }
      } finally {
        await chrome.close();
      }
    },
  );
});

describe("proofs of a folder", () => {
  test("have an index with a row a piece, and one that cannot be read stops no other", async () => {
    const folder = temporaryFolder();
    mkdirSync(join(folder, "b"));
    writeFileSync(join(folder, "a.musicxml"), tinyScore("C4:1 D4:5").text);
    writeFileSync(join(folder, "b/a.musicxml"), tinyScore("(C4:4 D4:3 E4:2 F4:1)").text);
    writeFileSync(join(folder, "c.musicxml"), "<score-part");
    const out = join(temporaryFolder(), "proofs");
    const { code, err } = await builtPlacewright(["report", folder, "--out", out]);
    expect(code).toBe(2);
    expect(err).toContain("3 scores: proofs written to");
    const index = readFileSync(join(out, "index.html"), "utf8");
    const links = [...index.matchAll(/<a href="([^"]*)"/g)].map(([, href]) => href!);
    expect(new Set(links).size).toBe(2);
    expect(readdirSync(out).sort()).toEqual([...links, "index.html"].sort());
    expect(index).toContain("c.musicxml");
    expect(index).toContain("not read:");
  });

  test("go into a folder, and a call without a place is told", async () => {
    const several = await placewright(["report", demo, "--out", "x.html"]);
    expect(several.code).toBe(2);
    expect(several.err).toContain("Name a folder");
    expect((await placewright(["report", demo])).err).toContain("--out FILE.html");
  });
});
