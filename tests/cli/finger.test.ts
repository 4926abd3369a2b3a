import { chmodSync, readFileSync, statSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { stopOnPain } from "../../shared/service/cautions.ts";
import { placewright, temporaryFolder } from "../support/commandLine.ts";
import { demoText } from "../support/demo.ts";
import { hasSchema, invalidity, withoutFingering } from "../support/libxml.ts";
import { tinyScore } from "../support/tinyScore.ts";

const scale = tinyScore("C4 D4 E4 F4 G4 A4 B4 C5").text;

function scoreFile(text: string): string {
  const path = join(temporaryFolder(), "song.musicxml");
  writeFileSync(path, text);
  return path;
}

const fingersIn = (text: string): string[] =>
  [...text.matchAll(/<fingering[^>]*>([^<]*)</g)].map((match) => match[1]!);

/** The bars of a score that has one part, by number. */
function bars(text: string): Map<string, string> {
  return new Map(
    [...text.matchAll(/<measure number="([^"]*)"[\s\S]*?<\/measure>/g)].map((match) => [match[1]!, match[0]]),
  );
}

const changedBars = (before: string, after: string): string[] => {
  const old = bars(before);
  return [...bars(after)].filter(([number, text]) => old.get(number) !== text).map(([number]) => number);
};

describe("the score", () => {
  test("goes to standard output with the usual fingering in it", async () => {
    const { code, out, err } = await placewright(["finger", "-"], scale);
    expect(code).toBe(0);
    // An octave in two groups of four: common practice, no source.
    expect(fingersIn(out)).toEqual(["4", "3", "2", "1", "4", "3", "2", "1"]);
    expect(out.match(/<bracket type="start"/g)).toHaveLength(2);
    expect(err).toContain("<stdin>: 8 notes in 2 placings; the whole fingering costs ");
    expect(err.trimEnd().split("\n").at(-1)).toBe(stopOnPain);
  });

  test("keeps everything but fingering and brackets, as a reader that is not ours sees it", async () => {
    const text = demoText("millrace-reel");
    const { out } = await placewright(["finger", "-"], text);
    expect(withoutFingering(Buffer.from(out))).toBe(withoutFingering(Buffer.from(text)));
    expect(fingersIn(out).length).toBeGreaterThan(250);
  });

  test.skipIf(!hasSchema)(
    "is valid MusicXML 4.0 (source: musicxml.xsd, W3C Music Notation Community Group)",
    async () => {
      for (const name of ["millrace-reel", "evening-tide", "lantern-waltz"] as const) {
        for (const mode of ["--keep", "--fresh"]) {
          const { out } = await placewright(["finger", "-", mode], demoText(name));
          expect(invalidity(Buffer.from(out)), `${name} ${mode}`).toBeUndefined();
        }
      }
    },
  );

  test("printed fingers are kept by default, and set aside with --fresh", async () => {
    const printed = tinyScore("C4:3 D4 E4 F4 G4 A4 B4 C5").text;
    const kept = await placewright(["finger", "-"], printed);
    expect(fingersIn(kept.out)[0]).toBe("3");
    expect(fingersIn(kept.out)).toHaveLength(8);
    expect(fingersIn((await placewright(["finger", "-", "--keep"], printed)).out)).toEqual(
      fingersIn(kept.out),
    );
    const fresh = await placewright(["finger", "-", "--fresh"], printed);
    expect(fingersIn(fresh.out)).toEqual(["4", "3", "2", "1", "4", "3", "2", "1"]);
  });

  test("what is printed and cannot be kept is named with bar, hand and note, and stays", async () => {
    const impossible = tinyScore("C4:1+E4:3/4 | D4/4").text;
    const { code, out, err } = await placewright(["finger", "-"], impossible);
    expect(code).toBe(0);
    expect(fingersIn(out).slice(0, 2)).toEqual(["1", "3"]);
    expect(err).toMatch(
      /^<stdin>: bar 1, beat 1, right hand, [CE]4: the printed finger [13] cannot be played/m,
    );
  });
});

describe("where it is written", () => {
  test("--out writes a new file and leaves the old one", async () => {
    const path = scoreFile(scale);
    const target = join(path, "..", "fingered.musicxml");
    const { code, out, err } = await placewright(["finger", path, "--out", target]);
    expect({ code, out }).toEqual({ code: 0, out: "" });
    expect(err).toContain(`written to ${target}`);
    expect(readFileSync(path, "utf8")).toBe(scale);
    expect(fingersIn(readFileSync(target, "utf8"))).toHaveLength(8);
  });

  test("--write writes back, keeps the file's mode, and changes nothing the second time", async () => {
    const path = scoreFile(scale);
    chmodSync(path, 0o640);
    expect((await placewright(["finger", path, "--write"])).code).toBe(0);
    const once = readFileSync(path, "utf8");
    expect(fingersIn(once)).toHaveLength(8);
    if (process.platform !== "win32") expect(statSync(path).mode & 0o777).toBe(0o640);
    const before = statSync(path, { bigint: true });
    const again = await placewright(["finger", path, "--write"]);
    expect(again.code).toBe(0);
    expect(again.err).toContain("nothing to add; the file stays as it is");
    expect(readFileSync(path, "utf8")).toBe(once);
    expect(statSync(path, { bigint: true })).toMatchObject({ ino: before.ino, mtimeNs: before.mtimeNs });
  });

  test.each(["millrace-reel", "evening-tide", "lantern-waltz"] as const)(
    "%s: fingering it again changes nothing",
    async (name) => {
      for (const mode of ["--keep", "--fresh"]) {
        const once = await placewright(["finger", "-", mode], demoText(name));
        const twice = await placewright(["finger", "-", mode], once.out);
        expect(twice.out === once.out, mode).toBe(true);
      }
    },
  );

  test("line ends and byte order mark stay as they are", async () => {
    const odd = `\ufeff${scale.replaceAll("\n", "\r\n")}`;
    const { out } = await placewright(["finger", "-"], odd);
    expect(out.startsWith("\ufeff<?xml")).toBe(true);
    expect(out.replaceAll("\r\n", "")).not.toMatch(/[\r\n]/);
  });

  test("a file that cannot be written to is an error", async () => {
    const path = scoreFile(scale);
    const { code, err } = await placewright([
      "finger",
      path,
      "--out",
      join(path, "..", "none", "x.musicxml"),
    ]);
    expect(code).toBe(2);
    expect(err).toMatch(/^placewright: There is no file or folder /m);
  });
});

describe("a part of the score", () => {
  test("--bars changes only these bars", async () => {
    const text = demoText("millrace-reel");
    const { out } = await placewright(["finger", "-", "--bars", "9-11"], text);
    expect(changedBars(text, out)).toEqual(["9", "10", "11"]);
  });

  test("--bars with one number, --fresh, in a fingered piece", async () => {
    const text = demoText("lantern-waltz");
    const { out } = await placewright(["finger", "-", "--bars", "10", "--fresh"], text);
    for (const bar of changedBars(text, out)) expect(bar).toBe("10");
  });

  test.each([
    ["right", "1"],
    ["left", "2"],
  ])("--hand %s fingers only staff %s", async (hand, staff) => {
    const { out } = await placewright(["finger", "-", "--hand", hand], demoText("millrace-reel"));
    const fingered = [...out.matchAll(/<note\b[\s\S]*?<\/note>/g)]
      .map((match) => match[0])
      .filter((note) => note.includes("<fingering"));
    expect(fingered.length).toBeGreaterThan(80);
    for (const note of fingered) expect(note).toContain(`<staff>${staff}</staff>`);
  });

  test.each([
    ["99", 'there is no bar "99". The bars are numbered from 1 to 28'],
    ["9-99", 'there is no bar "99"'],
    ["16-9", "bar 16 comes after bar 9. Write --bars 9-16."],
    ["", 'there is no bar ""'],
  ])("--bars %s is refused", async (range, message) => {
    const { code, out, err } = await placewright(["finger", "-", "--bars", range], demoText("millrace-reel"));
    expect({ code, out }).toEqual({ code: 2, out: "" });
    expect(err).toContain(message);
  });
});

describe("json", () => {
  test("has every key of the contract; beats from 1, notes lowest first", async () => {
    const { out, code } = await placewright(
      ["finger", "-", "--format", "json"],
      tinyScore("R: F#4 A4 C5/1 D5/2 // L: C3+Bb3/2 C3/2").text,
    );
    expect(code).toBe(0);
    const document = JSON.parse(out);
    expect(Object.keys(document)).toEqual(["version", "path", "harp", "hands", "cost"]);
    expect(document).toMatchObject({ version: 1, path: "<stdin>" });
    expect(document.harp.staves).toEqual([
      { part: "P1", staff: 1, hand: "right" },
      { part: "P1", staff: 2, hand: "left" },
    ]);
    const [right, left] = document.hands;
    expect(Object.keys(right)).toEqual(["part", "hand", "events", "placings"]);
    expect([right.hand, left.hand]).toEqual(["right", "left"]);
    expect(right.events.map(({ bar, beat }: { bar: string; beat: string }) => [bar, beat])).toEqual([
      ["1", "1"],
      ["1", "3/2"],
      ["1", "2"],
      ["1", "3"],
    ]);
    expect(right.events[0].notes).toEqual([{ pitch: "F#4", finger: expect.any(Number) }]);
    expect(left.events[0].notes.map(({ pitch }: { pitch: string }) => pitch)).toEqual(["C3", "Bb3"]);
    for (const placing of [...right.placings, ...left.placings]) {
      expect(Object.keys(placing)).toEqual(["first", "last", "direction", "joint"]);
      expect(["rising", "falling", "together"]).toContain(placing.direction);
      expect(["start", "separate", "overlap", "cross"]).toContain(placing.joint);
    }
    const terms = Object.values(document.cost.terms) as number[];
    expect(terms.reduce((sum, term) => sum + term, 0)).toBeCloseTo(document.cost.total, 9);
    expect(document.cost.gap).toBe(0);
  });

  test("a note that the hand has no finger left for has null", async () => {
    const { out } = await placewright(
      ["finger", "-", "--format", "json"],
      tinyScore("C4+D4+E4+F4+G4/4").text,
    );
    const fingers = JSON.parse(out).hands[0].events[0].notes.map(({ finger }: { finger: unknown }) => finger);
    // The right hand keeps the upper strings.
    expect(fingers).toEqual([null, 4, 3, 2, 1]);
  });

  test("after an overlap the first event is the shared one, after a cross the next", async () => {
    const { out } = await placewright(
      ["finger", "-", "--format", "json"],
      tinyScore("C4 D4 E4 F4 G4 A4 B4 C5 B4 A4 G4 F4 E4 D4 C4").text,
    );
    expect(JSON.parse(out).hands[0].placings).toEqual([
      { first: 0, last: 3, direction: "rising", joint: "start" },
      { first: 4, last: 7, direction: "rising", joint: "cross" },
      { first: 7, last: 10, direction: "falling", joint: "overlap" },
      { first: 11, last: 14, direction: "falling", joint: "cross" },
    ]);
  });

  test("--out takes the json, and --explain goes to standard output beside it", async () => {
    const path = scoreFile(scale);
    const target = join(path, "..", "song.json");
    const { out } = await placewright(["finger", path, "--format", "json", "--out", target, "--explain"]);
    expect(JSON.parse(readFileSync(target, "utf8")).version).toBe(1);
    expect(out).toMatch(/^Right hand\n/);
  });
});

describe("--explain", () => {
  test("takes the place of the score and tells each placing, its costs and the closest other choice", async () => {
    const { out, code } = await placewright(["finger", "-", "--explain"], tinyScore("C4 D4 E4 F4 G4").text);
    expect(code).toBe(0);
    expect(out).not.toContain("<");
    expect(out).toContain("bar 1, beat 1:  C4 2, D4 1  (rising, begins; cost 0.5)");
    expect(out).toContain(
      "bar 1, beat 2:  E4 3, F4 2, G4 1  (rising, crosses: 3 goes under the thumb; cost 1.5)",
    );
    expect(out).toMatch(/^ +or \d on [CDEFG]4: costs 0\.\d+ more/m);
    expect(out).toContain("The whole fingering costs 2, of which:");
  });

  test("tells only the chosen bars", async () => {
    const { out } = await placewright(["finger", "-", "--explain", "--bars", "9"], demoText("millrace-reel"));
    for (const [, bar] of out.matchAll(/^bar (\d+),/gm)) expect(["8", "9"]).toContain(bar);
    expect(out).toMatch(/^bar 9,/m);
  });

  test("offers nothing instead of a finger that is printed and kept", async () => {
    const { out } = await placewright(["finger", "-", "--explain"], tinyScore("(C4:4 D4:3 E4:2 F4:1)").text);
    expect(out).not.toMatch(/^ +or /m);
  });
});

describe("what cannot be fingered", () => {
  test("a broken file: path, line and column; nothing is written", async () => {
    const path = scoreFile(scale.replace("</part>", "</prat>"));
    const before = readFileSync(path, "utf8");
    const { code, out, err } = await placewright(["finger", path, "--write"]);
    expect({ code, out }).toEqual({ code: 2, out: "" });
    expect(err).toMatch(/song\.musicxml:\d+:\d+: error reading: Not well-formed XML: /);
    expect(readFileSync(path, "utf8")).toBe(before);
  });

  test("no harp: the parts are listed", async () => {
    const two = scale
      .replace(/<part-name>.*?<\/part-name>/, "<part-name>Violin</part-name>")
      .replace(/<score-instrument[\s\S]*?<\/score-instrument>/, "")
      .replace(/<midi-instrument[\s\S]*?<\/midi-instrument>/, "")
      .replace("</part-list>", '<score-part id="P2"><part-name>Viola</part-name></score-part></part-list>')
      .replace("</score-partwise>", '<part id="P2"><measure number="1"/></part></score-partwise>');
    const { code, err } = await placewright(["finger", "-"], two);
    expect(code).toBe(2);
    expect(err).toContain("No part can be taken as a harp. Name one of: Violin (P1), Viola (P2).");
    expect((await placewright(["finger", "-", "--part", "Violin"], two)).code).toBe(0);
  });

  test("no file", async () => {
    const { code, err } = await placewright(["finger", join(temporaryFolder(), "none.musicxml")]);
    expect(code).toBe(2);
    expect(err).toMatch(/^placewright: There is no file or folder .*none\.musicxml\. Check the name\.\n$/);
  });
});

describe("several scores", () => {
  test("are written back, with a summary; one that cannot be read stops no other", async () => {
    const folder = temporaryFolder();
    const write = (name: string, text: string): void => writeFileSync(join(folder, name), text);
    write("a.musicxml", scale);
    write("b.musicxml", "<score-part");
    write("c.musicxml", tinyScore("(C4:4 D4:3 E4:2 F4:1)").text);
    const { code, out, err } = await placewright(["finger", folder, "--write"]);
    expect({ code, out }).toEqual({
      code: 2,
      out: "3 scores: 1 fingered (8 notes in 2 placings), 1 with nothing to add, 1 left as it was.\n",
    });
    expect(fingersIn(readFileSync(join(folder, "a.musicxml"), "utf8"))).toHaveLength(8);
    expect(readFileSync(join(folder, "b.musicxml"), "utf8")).toBe("<score-part");
    expect(err).toContain("b.musicxml:1:");
    expect(err).toContain(stopOnPain);
    const again = await placewright(["finger", join(folder, "[ac].musicxml"), "--write"]);
    expect(again).toMatchObject({ code: 0, out: expect.stringContaining("2 with nothing to add") });
  });

  test.each([[[]], [["--write", "--bars", "1"]], [["--write", "--explain"]]])(
    "%s is told to be wrong",
    async (more) => {
      const { code, out, err } = await placewright(["finger", "a.musicxml", "b.musicxml", ...more]);
      expect({ code, out }).toEqual({ code: 2, out: "" });
      expect(err).toMatch(/add --write|is about one score/);
    },
  );
});

describe("levers and pedals", () => {
  const { text } = tinyScore("R: @60 F4/2 F#4/2 // L: C3/1");
  const marks = (score: string): (string | undefined)[] =>
    [...score.matchAll(/<words>([^<]*)<|<(harp-pedals)>/g)].map((match) => match[1] ?? match[2]);

  test("--pedals writes a diagram and each change, for a concert harp where none is named", async () => {
    const { code, out, err } = await placewright(["finger", "-", "--pedals"], text);
    expect(code).toBe(0);
    expect(marks(out)).toEqual(["harp-pedals", "F♯"]);
    expect(fingersIn(out)).toHaveLength(3);
    expect(err).toContain("levers or pedals: written at 2 places.");
    const again = await placewright(["finger", "-", "--pedals"], out);
    expect(again.out).toBe(out);
    expect(again.err).toContain("all that changes is written already");
  });

  test("--levers: with a tuning that is named, else with the easiest, which is said", async () => {
    const inC = await placewright(["finger", "-", "--levers", "--harp", "lever-36", "--tuning", "C"], text);
    expect(marks(inC.out)).toEqual(["3F♯"]);
    const { err } = await placewright(["finger", "-", "--levers"], text);
    expect(err).toContain("note: No tuning is named: C major, the easiest, is assumed.");
  });

  test("a change without time is counted", async () => {
    const fast = tinyScore("R: @60 F4/1 A4/1 F#4/1 A4/1 // L: C3 E3 G3 C4 B3 G3 E3 C3").text;
    const { err } = await placewright(["finger", "-", "--levers", "--tuning", "C"], fast);
    expect(err).toContain("written at 1 place; for 1 change there is no time, see check.");
  });

  test.each([
    [["--pedals", "--levers"], "--pedals and --levers: a harp has one or the other."],
    [["--pedals", "--harp", "lever-34"], "The harp is a lever harp: use --levers"],
    [["--levers", "--harp", "pedal-47"], "The harp is a pedal harp: use --pedals"],
    [["--levers", "--bars", "1"], "--levers and --bars: how the harp is set is about the whole score."],
    [["--pedals", "--format", "json"], "--pedals writes into a score"],
  ])("%j is refused", async (options, message) => {
    const { code, err } = await placewright(["finger", "-", ...options], text);
    expect(code).toBe(2);
    expect(err).toContain(message);
  });
});
