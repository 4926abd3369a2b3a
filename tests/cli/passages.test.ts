import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { projectFolder } from "../support/built.ts";
import { placewright } from "../support/commandLine.ts";
import { demoText } from "../support/demo.ts";
import { tinyScore } from "../support/tinyScore.ts";

const waltz = join(projectFolder, "fixtures", "demo", "lantern-waltz.musicxml");
const tune = "(C4:4 D4:3 E4:2 (G4:1) F4:2 D4:3 B3:4/1)";
const between = "E4:2+G4:1/2 D4:2+F4:1/2";

describe("as text", () => {
  test("a table a passage: places side by side, differences marked", async () => {
    const { code, out } = await placewright(["passages", waltz]);
    expect(code).toBe(0);
    const [first] = out.split("\n\n");
    expect(first?.split("\n")).toEqual([
      "A  3 places on the same strings, right hand, 22 events",
      "                  B4 A4 G4  E5 F#5 G5  A5  B5   A5  B5  A5 G5 E5 A4+F#5 C5 B4 A4  F#5 G5 A5 B5 C6",
      "   bars 1 to 6    (1 2  (3) 1) (4  3   2   (1)  (2) (1) 2  3  4) 3+1    (1 2  (3) 1)  (4 3  2  (1)",
      "   bars 9 to 14   (1 2  (3) 1) (4  3   2   (1)  (2) (1) 2  3  4) 3+1    (1 2  (3) 1)  (4 3  2  (1)  alike",
      "   bars 25 to 30  (1 2  (3) 1) (2* 1)* (2* (1)* (2) (1) 2  3  4) 3+1    (1 2  (3) 1)  (4 3  2  (1)  unlike",
    ]);
    for (const line of out.split("\n")) expect(line.length, line).toBeLessThanOrEqual(120);
  });

  test("what is not fingered says so", async () => {
    const bare = tune.replace(/:\d|[()]/g, "");
    const { text } = tinyScore(`${bare} | E4+G4/2 D4+F4/2 | ${bare} | G3/1 A3/2 B3/1`);
    const { out } = await placewright(["passages", "-"], text);
    expect(out.trimEnd().split("\n")).toEqual([
      "A  2 places on the same strings, right hand, 7 events",
      "          C4 D4 E4 G4 F4 D4 B3",
      "   bar 1                        not fingered",
      "   bar 3                        not fingered",
    ]);
  });

  test("of very many places some are shown, those that are unlike first, and the rest is counted", async () => {
    const bars = Array.from({ length: 40 }, (_, i) => (i === 33 ? tune.replace("F4:2", "F4:3") : tune));
    const { text } = tinyScore(`${between} | ${bars.join(" | ")}`);
    const { out, err } = await placewright(["passages", "-"], text);
    const [table] = out.split("\n\n");
    expect(table).toContain("A  40 places on the same strings");
    expect(table).toMatch(/bar 35 .*3\*.* unlike/);
    expect(table).toContain("and 28 more places, 28 alike");
    expect(err).toContain("stands 40 times in a row");
  });

  test("nothing comes back", async () => {
    const { code, out } = await placewright(["passages", "-"], tinyScore("C4 D4 E4/1 A3/2").text);
    expect([code, out]).toEqual([0, "Nothing comes back.\n"]);
  });
});

describe("as JSON", () => {
  test("every place with its fingers and what differs", async () => {
    const { code, out } = await placewright(["passages", waltz, "--format", "json"]);
    expect(code).toBe(0);
    const document = JSON.parse(out);
    expect(document).toMatchObject({ version: 1, path: waltz });
    expect(document.passages[0]).toMatchObject({ name: "A", kind: "exact", events: 22, model: 0 });
    expect(document.passages[0].places[2]).toMatchObject({
      part: "P1",
      hand: "right",
      from: { bar: "25", beat: "1" },
      to: { bar: "30", beat: "3" },
      steps: 0,
      printed: "unlike",
    });
    const { differences } = document.passages[0].places[2];
    const place = { here: { bar: "26", beat: "3/2" }, model: { bar: "2", beat: "3/2" } };
    expect(differences).toContainEqual({
      kind: "finger",
      ...place,
      stringAt: 0,
      hereFinger: 2,
      modelFinger: 4,
    });
    expect(differences).toContainEqual({ kind: "bracket", ...place, hereEvents: 2, modelEvents: 4 });
    expect(document.passages[0].places[1].differences).toEqual([]);
  });

  test("is the same whether read from the file or from standard input, path apart", async () => {
    const file = await placewright(["passages", waltz, "--format", "json"]);
    const input = await placewright(["passages", "-", "--format", "json"], demoText("lantern-waltz"));
    expect(input.out.replace('"<stdin>"', JSON.stringify(waltz))).toBe(file.out);
  });
});

describe("what cannot be used", () => {
  test.each([
    [["passages"], "Name a score: placewright passages FILE"],
    [["passages", "a.musicxml", "b.musicxml"], "One score at a time"],
    [["passages", "no-such-file.musicxml"], "no-such-file.musicxml"],
  ])("%s", async (args, message) => {
    const { code, out, err } = await placewright(args);
    expect(code).toBe(2);
    expect(out).toBe("");
    expect(err).toContain(message);
  });

  test("a score without a harp part lists its parts", async () => {
    const text = tinyScore("C4 D4")
      .text.replace("<part-name>Harp", "<part-name>Flute")
      .replace(/<score-instrument[\s\S]*?<\/score-instrument>/, "");
    const twoParts = text
      .replace(/<score-part [\s\S]*?<\/score-part>/, (part) => `${part}${part.replace(/id="P1/g, 'id="P2')}`)
      .replace(/<part id="P1"[\s\S]*<\/part>/, (part) => `${part}${part.replace('id="P1"', 'id="P2"')}`);
    const { code, out, err } = await placewright(["passages", "-"], twoParts);
    expect(code).toBe(2);
    expect(out).toBe("");
    expect(err).toContain("No part can be taken as a harp");
  });
});
