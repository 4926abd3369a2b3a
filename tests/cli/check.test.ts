import { mkdirSync, symlinkSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { strToU8, zipSync } from "fflate";
import { describe, expect, test } from "vitest";
import { placewright, temporaryFolder } from "../support/commandLine.ts";
import { tinyScore } from "../support/tinyScore.ts";

const clean = tinyScore("(C4:4 D4:3 E4:2 F4:1)").text;
const fifthFinger = tinyScore("C4:1 D4:5").text;

/** A score that is well-formed but has no part that could be a harp. */
const quartet = `<?xml version="1.0" encoding="UTF-8"?>
<score-partwise version="4.0">
  <part-list>
    <score-part id="P1"><part-name>Violin</part-name></score-part>
    <score-part id="P2"><part-name>Viola</part-name></score-part>
  </part-list>
  <part id="P1"><measure number="1"/></part>
  <part id="P2"><measure number="1"/></part>
</score-partwise>
`;

/** Line 5 closes what line 4 did not open. */
const broken = `<?xml version="1.0" encoding="UTF-8"?>
<score-partwise version="4.0">
  <part-list>
    <score-part id="P1"><part-name>Harp</part-name></score-part>
  </part-lists>
</score-partwise>
`;

/** A folder with these files; names may have folders in them. */
function folderWith(files: Readonly<Record<string, string | Uint8Array>>): string {
  const folder = temporaryFolder();
  for (const [name, content] of Object.entries(files)) {
    mkdirSync(join(folder, name, ".."), { recursive: true });
    writeFileSync(join(folder, name), content);
  }
  return folder;
}

/** Where the first match in a text starts and how long it is; lines and columns from 1. */
function placeIn(text: string, pattern: RegExp): { line: number; column: number; length: number } {
  const match = pattern.exec(text)!;
  const before = text.slice(0, match.index).split("\n");
  return { line: before.length, column: before[before.length - 1]!.length + 1, length: match[0].length };
}

const fifth = /<fingering[^>]*>5<\/fingering>/;

describe("exit codes", () => {
  test("0 when nothing was found", async () => {
    const folder = folderWith({ "a.musicxml": clean });
    const { code, out, err } = await placewright(["check", join(folder, "a.musicxml")]);
    expect({ code, out }).toEqual({ code: 0, out: "" });
    expect(err).toContain("1 file, 4 notes: nothing found.");
  });

  test("1 when something was found", async () => {
    const folder = folderWith({ "a.musicxml": fifthFinger });
    const { code, err } = await placewright(["check", folder]);
    expect(code).toBe(1);
    expect(err).toMatch(/1 file, 2 notes: 1 error/);
  });

  test("only what is at or above --min-severity is shown and counts", async () => {
    // The tempo is the score's, so nothing is left to remark on but the doubtful backup.
    const doubtful = clean.replace("</measure>", "<backup><duration>9999</duration></backup></measure>");
    const path = join(folderWith({ "a.musicxml": doubtful }), "a.musicxml");
    const warned = await placewright(["check", path, "--min-severity", "warning"]);
    expect(warned.code).toBe(1);
    expect(warned.out).toMatch(
      /^.*a\.musicxml:\d+:\d+: warning reading: .*<backup> goes back 9999 divisions/,
    );
    expect(await placewright(["check", path, "--min-severity", "error"])).toMatchObject({ code: 0, out: "" });
  });

  test("2 when a file could not be read, and the others are checked all the same", async () => {
    const folder = folderWith({ "a.musicxml": broken, "b.musicxml": fifthFinger });
    const missing = join(folder, "c.musicxml");
    const { code, out } = await placewright(["check", missing, folder]);
    expect(code).toBe(2);
    expect(out).toContain(`There is no file or folder ${missing}. Check the name.`);
    expect(out).toMatch(/b\.musicxml:\d+:\d+: error finger-outside-range: D4 is marked with finger 5/);
  });

  test("2 for a folder without any score, so that a slip in a path is not taken for a clean result", async () => {
    const folder = folderWith({ "readme.txt": "no score" });
    const { code, out } = await placewright(["check", folder]);
    expect(code).toBe(2);
    expect(out).toContain("There is no score");
  });
});

describe("text", () => {
  test("has one line a finding: path:line:column: severity rule-id: message", async () => {
    const path = join(folderWith({ "a.musicxml": fifthFinger }), "a.musicxml");
    const { out } = await placewright(["check", path]);
    const { line, column } = placeIn(fifthFinger, fifth);
    const start = `${path}:${line}:${column}: error finger-outside-range: D4 is marked with finger 5`;
    expect(out.split("\n").filter((each) => each.startsWith(start))).toHaveLength(1);
  });

  test("names line and column of what is not well-formed", async () => {
    const path = join(folderWith({ "a.musicxml": broken }), "a.musicxml");
    const { code, out } = await placewright(["check", path]);
    expect(code).toBe(2);
    expect(out).toMatch(/a\.musicxml:5:\d+: error reading: Not well-formed XML: /);
  });

  test("of standard input goes by the name <stdin>", async () => {
    const { code, out } = await placewright(["check", "-"], fifthFinger);
    expect(code).toBe(1);
    expect(out).toMatch(/^<stdin>:\d+:\d+: error finger-outside-range: /m);
  });

  test("what was assumed goes to standard error", async () => {
    const unnamed = clean.replace(/<part-name>.*?<\/part-name>/, "<part-name>Strings</part-name>");
    const plain = unnamed
      .replace(/<score-instrument[\s\S]*?<\/score-instrument>/, "")
      .replace(/<midi-instrument[\s\S]*?<\/midi-instrument>/, "");
    const { err } = await placewright(["check", "-"], plain);
    expect(err).toMatch(/^<stdin>: note: The only part, Strings \(\S+\), is taken as the harp\.$/m);
  });
});

describe("json", () => {
  test("is version 1 with every key of the contract, lines and columns from 1", async () => {
    const path = join(folderWith({ "a.musicxml": fifthFinger }), "a.musicxml");
    const { code, out } = await placewright(["check", path, "--format", "json"]);
    expect(code).toBe(1);
    const document = JSON.parse(out);
    expect(Object.keys(document)).toEqual(["version", "files"]);
    expect(document.version).toBe(1);
    const [file] = document.files;
    expect(Object.keys(file)).toEqual([
      "path",
      "problems",
      "findings",
      "accepted",
      "level",
      "assumptions",
      "notes",
    ]);
    expect(file).toMatchObject({ path, problems: [] });
    const finding = file.findings.find((each: { rule: string }) => each.rule === "finger-outside-range");
    expect(Object.keys(finding)).toEqual([
      "rule",
      "severity",
      "message",
      "part",
      "hand",
      "bar",
      "beat",
      "range",
      "related",
      "fixes",
      "place",
    ]);
    const { line, column, length } = placeIn(fifthFinger, fifth);
    expect(finding).toMatchObject({
      severity: "error",
      hand: "right",
      bar: "1",
      beat: "3/2",
      range: { start: { line, column }, end: { line, column: column + length } },
      related: [],
    });
    for (const fix of finding.fixes) {
      expect(Object.keys(fix)).toEqual(["title", "safety"]);
      expect(["safe", "ask"]).toContain(fix.safety);
    }
  });

  test("has the facts of the level, every key always there, with the caution; text has them on request", async () => {
    const { out } = await placewright(["check", "-", "--format", "json"], clean);
    const { level } = JSON.parse(out).files[0];
    expect(level).toMatchObject({ label: null, notes: 4, bars: 1, bothHandsLook: 0 });
    expect(level.caution).toContain("Stop on pain");
    expect(level.hands[0].widest).toEqual({ struck: null, rolled: null, inTurn: { steps: 3, bar: "1" } });
    expect(level.hands[0]).toMatchObject({ hand: "right", connectedShare: null, shortestReplacing: null });
    expect(
      JSON.parse((await placewright(["check", "-", "--format", "json"], quartet)).out).files[0].level,
    ).toBe(null);
    expect((await placewright(["check", "-"], clean)).out).toBe("");
    const told = await placewright(["check", "-", "--level"], clean);
    expect(told.code).toBe(0);
    expect(told.out).toMatch(/^<stdin>: level\n {2}notes .*4 in 1 bar[\s\S]*Stop on pain/);
  });

  test("has problems with their range", async () => {
    const { code, out } = await placewright(["check", "-", "--format", "json"], broken);
    expect(code).toBe(2);
    const [{ path, problems, findings }] = JSON.parse(out).files;
    expect({ path, findings }).toEqual({ path: "<stdin>", findings: [] });
    expect(problems[0]).toMatchObject({ severity: "error", range: { start: { line: 5 } } });
    expect(problems[0].message).toMatch(/^Not well-formed XML/);
  });

  test("is one document for any number of files", async () => {
    const folder = folderWith({ "a.musicxml": clean, "b.musicxml": fifthFinger });
    const { out } = await placewright(["check", folder, "--format", "json"]);
    expect(JSON.parse(out).files.map(({ path }: { path: string }) => path)).toEqual([
      join(folder, "a.musicxml"),
      join(folder, "b.musicxml"),
    ]);
  });
});

describe("the harp part", () => {
  test("no part that can be a harp is an error that lists the parts", async () => {
    const { code, out } = await placewright(["check", "-"], quartet);
    expect(code).toBe(2);
    expect(out).toContain("No part can be taken as a harp. Name one of: Violin (P1), Viola (P2).");
  });

  test.each(["P2", "viola"])("--part %s takes it", async (part) => {
    expect((await placewright(["check", "-", "--part", part], quartet)).code).toBe(0);
  });

  test("--part with no such part lists the parts", async () => {
    const { code, out } = await placewright(["check", "-", "--part", "Cello"], quartet);
    expect(code).toBe(2);
    expect(out).toContain('There is no part "Cello". The parts are: Violin (P1), Viola (P2).');
  });
});

describe("a folder", () => {
  const paths = async (...roots: string[]): Promise<string[]> =>
    JSON.parse((await placewright(["check", ...roots, "--format", "json"])).out).files.map(
      ({ path }: { path: string }) => path,
    );

  test("stands for every score below it, in order of name", async () => {
    const utf16 = Buffer.from(`\ufeff${clean.replace("UTF-8", "UTF-16")}`, "utf16le");
    const folder = folderWith({
      "b.musicxml": clean,
      "a/z.MUSICXML": clean,
      "a/score.xml": `<!-- <svg> --><!DOCTYPE score-partwise [ <!-- > --> ]>${clean.replace(/^<\?xml.*?\?>\s*/, "")}`,
      "a/utf16.xml": utf16,
      "a/drawing.xml": '<svg xmlns="http://www.w3.org/2000/svg"/>',
      "a/notes.txt": clean,
      "c.mxl": zipSync({
        "META-INF/container.xml": strToU8(
          '<container><rootfiles><rootfile full-path="c.musicxml"/></rootfiles></container>',
        ),
        "c.musicxml": strToU8(clean),
      }),
      ".hidden/d.musicxml": clean,
      "node_modules/e.musicxml": clean,
    });
    expect(await paths(folder)).toEqual(
      ["a/score.xml", "a/utf16.xml", "a/z.MUSICXML", "b.musicxml", "c.mxl"].map((name) => join(folder, name)),
    );
  });

  test("a file that is reached twice is checked once", async () => {
    const folder = folderWith({ "a.musicxml": clean });
    expect(await paths(folder, join(folder, "a.musicxml"))).toHaveLength(1);
  });

  test("a link that leads round in a circle does no harm", async () => {
    const folder = folderWith({ "a.musicxml": clean });
    symlinkSync(folder, join(folder, "again"));
    expect(await paths(folder)).toHaveLength(1);
  });
});
