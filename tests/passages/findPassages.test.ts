import { describe, expect, test } from "vitest";
import { tinyScore } from "../support/tinyScore.ts";
import { listing, passagesOf } from "./listing.ts";

/** A bar of four quarters that is like no other here. */
const other = {
  first: "G4/1 C5/1 A4/2",
  second: "B3+D4/1 F4/0.5 B4/0.5 E5/2",
  third: "C6/0.5 G5/0.5 D6/1 A3/2",
};
const tune = "E4/1 F4/0.5 G4/0.5 B4/1 A4/1 | G4/0.5 D4/0.5 E4/1 C4/2";
const upAThird = "G4/1 A4/0.5 B4/0.5 D5/1 C5/1 | B4/0.5 F4/0.5 G4/1 E4/2";

function found(notation: string): string[] {
  return listing(passagesOf(tinyScore(notation).text));
}

describe("what comes back", () => {
  test("on the same strings", () => {
    expect(found(`${tune} | ${other.first} | ${tune} | ${other.second}`)).toEqual([
      "exact right 1:1-2:3 4:1-5:3",
    ]);
  });

  test("on other strings", () => {
    expect(found(`${tune} | ${other.first} | ${upAThird} | ${other.second}`)).toEqual([
      "shifted right 1:1-2:3 4:1-5:3+2",
    ]);
  });

  test("three times, the first two of them longer", () => {
    expect(
      found(
        `${tune} | ${other.first} | ${other.second} | ${tune} | ${other.first} | ${tune} | ${other.third}`,
      ),
    ).toEqual(["exact right 1:1-3:3 5:1-7:3", "exact right 1:1-2:3 5:1-6:3 8:1-9:3"]);
  });

  test("in the other hand, an octave lower", () => {
    const low = tune.replace(/[45](?=\/)/g, (octave) => String(Number(octave) - 1));
    expect(
      found(
        `R: ${tune} | ${other.first} | ${other.second} | r/4 // L: r/4 | r/4 | C3/2 G2/2 | ${low} | F2+C3/1 A2/3`,
      ),
    ).toEqual(["otherHand r1:1-2:3 l4:1-5:3-7"]);
  });

  test("with sharps and flats in one place: the strings are the same", () => {
    const sharpened = tune.replace("F4", "F#4").replace("B4", "Bb4");
    expect(found(`${tune} | ${other.first} | ${sharpened} | ${other.second}`)).toEqual([
      "exact right 1:1-2:3 4:1-5:3",
    ]);
  });

  test("with a rest for a long note: the strings and their times are the same", () => {
    const short = tune.replace("B4/1", "B4/0.5 r/0.5");
    expect(found(`${tune} | ${other.first} | ${short} | ${other.second}`)).toEqual([
      "exact right 1:1-2:3 4:1-5:3",
    ]);
  });

  test("with a tied note for a long one", () => {
    const tied = tune.replace("B4/1", "B4/0.5_ B4/0.5");
    expect(found(`${tune} | ${other.first} | ${tied} | ${other.second}`)).toEqual([
      "exact right 1:1-2:3 4:1-5:3",
    ]);
  });
});

describe("what comes back with small changes", () => {
  const longer = `${tune} | C5/1 A4/0.5 B4/0.5 F5/1 D5/1 | E5/0.5 C5/0.5 D5/1 G4/2`;
  const around = (changed: string): string[] =>
    found(`${longer} | ${other.first} | ${other.second} | ${changed} | ${other.third}`);

  test.each([
    ["a note on another string", "C5/1", "E5/1", "near right 1:1-4:3 7:1-10:3(s)"],
    ["a note of a chord an octave higher", "C5/1", "C5+C6/1", "near right 1:1-4:3 7:1-10:3(s)"],
    ["a grace note added", "C5/1", "~D5 C5/1", "near right 1:1-4:3 7:1-10:3(a)"],
    ["a note left out", "B4/0.5 F5/1", "F5/1.5", "near right 1:1-4:3 7:1-10:3(lr)"],
    ["another rhythm on the same strings", "B4/1 A4/1", "B4/1.5 A4/0.5", "near right 1:1-4:3 7:1-10:3(rr)"],
    ["a harmonic", "C5/1", "C5/1!harmonic", "near right 1:1-4:3 7:1-10:3(s)"],
  ])("%s", (_, from, to, expected) => {
    expect(longer).toContain(from);
    expect(around(longer.replace(from, to))).toEqual([expected]);
  });

  test("another last note is left out of the passage", () => {
    expect(around(longer.replace(/G4\/2$/, "E5/2"))).toEqual(["exact right 1:1-4:2 7:1-10:2"]);
  });

  test("another pick-up is left out of the passage", () => {
    expect(around(longer.replace("E4/1 F4", "C4/1 F4"))).toEqual(["exact right 1:2-4:3 7:2-10:3"]);
  });

  test("all notes twice as long", () => {
    const slow = longer
      .replace(/\/([\d.]+)/g, (_, length) => `/${2 * Number(length)}`)
      .replaceAll(" | ", " ");
    expect(around(slow)).toEqual([expect.stringMatching(/^near right 1:1-4:3 7:1-14:1\(r+\)$/)]);
  });

  test("the alignment says which event stands for which", () => {
    const changed = longer.replace("B4/0.5 F5/1", "F5/1.5").replace("C5/1", "~D5 C5/1");
    const { classes } = passagesOf(
      tinyScore(`${longer} | ${other.first} | ${other.second} | ${changed}`).text,
    );
    const [near] = classes;
    expect(near?.kind).toBe("near");
    // Eighteen events, then three and four others; then a grace note before the tenth, and no twelfth.
    const start = 25;
    const expected = Array.from({ length: 18 }, (_, m) => (m < 9 || m > 11 ? start + m : start + m + 1));
    expect(near?.alignment[1]).toEqual(expected.map((event, m) => (m === 11 ? undefined : event)));
    expect(near?.occurrences[1]?.changes).toEqual([
      { kind: "added", event: start + 9 },
      { kind: "leftOut", model: 11 },
      { kind: "rhythm", model: 13, event: start + 13 },
    ]);
  });
});

describe("what does not come back", () => {
  const upsideDown = "E4/1 D4/0.5 C4/0.5 A3/1 B3/1 | C4/0.5 F4/0.5 E4/1 G4/2";
  const backwards = "C4/2 E4/1 D4/0.5 G4/0.5 | A4/1 B4/1 G4/0.5 F4/0.5 E4/1";
  const otherSteps = "D4/1 G4/0.5 C4/0.5 F4/1 E4/1 | B4/0.5 A3/0.5 C5/1 A4/2";

  test.each([
    ["the passage upside down", upsideDown],
    ["the passage backwards", backwards],
    ["the passage's rhythm on other steps", otherSteps],
  ])("%s", (_, trap) => {
    expect(found(`${tune} | ${other.first} | ${trap} | ${other.second}`)).toEqual([]);
  });

  test("three notes that do not fill a bar", () => {
    const three = "E4/0.5 A4/0.5 F5/1";
    expect(found(`${three} C4/2 | ${other.first} | G4/1 D4/1 ${three} | ${other.second}`)).toEqual([]);
  });

  test("but two chords that fill a bar, four times, are a passage", () => {
    const two = "E4+G4+C5/2 F4+A4+D5/2";
    const more = [upsideDown, otherSteps, backwards, "F5/2 A3/2", "B4/3 D4/1"].join(" | ");
    expect(found(`${two} | ${other.first} | ${two} | ${other.second} | ${two} | ${more} | ${two}`)).toEqual([
      "exact right 1:1-1:3 3:1-3:3 5:1-5:3 14:1-14:3",
    ]);
  });

  test("steps that the whole piece is made of", () => {
    const scale = "C4 D4 E4 F4 G4 F4 E4 D4";
    const bars = [scale, scale.replaceAll("4", "5"), "E4 D4 E4 F4 G4 A4 B4 A4", "G4 F4 G4 A4 B4 C5 D5 C5"];
    expect(found(`${bars.join(" | ")} | C5 B4 A4 G4 A4 B4 C5 D5 | E5 F5 E5 D5 C5 B4 C5 D5`)).toEqual([
      expect.stringMatching(/^shifted right 1:1-1:9\/2 2:1-2:9\/2\+7/),
    ]);
  });

  test("one note over and over", () => {
    expect(found(Array.from({ length: 12 }, () => "C5/1 C5/1 C5/1 C5/1").join(" | "))).toEqual([]);
  });
});

describe("figures in a row", () => {
  test("an ostinato is one class, with a message", () => {
    const bars = Array.from({ length: 20 }, () => "C4 G4 E4 A4 D4 B4 E4 G4").join(" | ");
    const result = passagesOf(tinyScore(`${other.first} | ${bars} | ${other.second}`).text);
    expect(result.classes).toHaveLength(1);
    expect(result.classes[0]).toMatchObject({ kind: "exact", inARow: 20 });
    expect(result.classes[0]?.occurrences).toHaveLength(20);
    expect(result.messages).toEqual([
      "A figure of 8 events in the right hand stands 20 times in a row. It is listed once; longer stretches made of it are not listed as passages of their own.",
    ]);
  });

  test("a sequence is one class, bar by bar", () => {
    const bar = "C5/1 D5 B4 C5 E5 A4/1";
    const lower = [0, 1, 2].map((steps) =>
      bar.replace(/([A-G])(\d)/g, (_, letter: string, octave: string) => {
        const string = 7 * Number(octave) + "CDEFGAB".indexOf(letter) - steps;
        return `${"CDEFGAB"[string % 7]}${Math.floor(string / 7)}`;
      }),
    );
    expect(found(`${other.first} | ${lower.join(" | ")} | ${other.second}`)).toEqual([
      "shifted right 2:1-2:4 3:1-3:4-1 4:1-4:4-2",
    ]);
  });

  test("two kinds of figures that take turns are both listed", () => {
    const a = "C4 G4 E4 G4 C4 G4 E4 G4";
    const b = "D4 A4 F4/1 D4 A4 F4/1";
    const bars = Array.from({ length: 6 }, () => `${a} | ${b}`).join(" | ");
    const result = passagesOf(tinyScore(bars).text);
    for (const line of listing(result)) expect(line).toMatch(/^exact right/);
    expect(result.classes.length).toBeLessThanOrEqual(4);
  });
});

describe("repeats and jumps", () => {
  const withSigns = (notation: string, signs: Record<number, string>): string => {
    let text = tinyScore(notation).text;
    for (const [bar, sign] of Object.entries(signs)) {
      const end = text.indexOf("</measure>", text.indexOf(`<measure number="${bar}"`));
      text = `${text.slice(0, end)}${sign}${text.slice(end)}`;
    }
    return text;
  };
  const barline = (content: string): string => `<barline location="right">${content}</barline>`;
  const repeat = '<repeat direction="backward"/>';

  test("what a repeat sign plays again is no return", () => {
    const text = withSigns(`${tune} | ${other.first} | ${other.second}`, { 3: barline(repeat) });
    expect(listing(passagesOf(text))).toEqual([]);
  });

  test("a passage does not lead from the first ending into the second", () => {
    const music = `${other.third} | ${tune} | ${other.second} | ${tune}`;
    expect(listing(passagesOf(tinyScore(music).text))).toEqual(["exact right 2:1-3:3 5:1-6:3"]);
    const signs = { 2: barline(`<ending number="1" type="stop"/>${repeat}`) };
    expect(listing(passagesOf(withSigns(music, signs)))).toEqual([
      "exact right 2:1-2:4 5:1-5:4",
      "exact right 3:1-3:3 6:1-6:3",
    ]);
  });

  test("first and second endings that begin alike are a return", () => {
    const first = "E5/1 A4/0.5 D5/0.5 F4/1 B4/1";
    const music = `${other.third} | ${other.second} | ${first} | ${first.replace("B4/1", "C4/1")} | ${other.first}`;
    const signs = { 3: barline(`<ending number="1" type="stop"/>${repeat}`) };
    expect(listing(passagesOf(withSigns(music, signs)))).toEqual(["exact right 3:1-3:3 4:1-4:3"]);
  });

  test("a passage does not lead over D.C. into what is printed after it", () => {
    const music = `${other.third} | ${tune} | ${other.second} | ${tune}`;
    const direction =
      '<direction><direction-type><words>D.C.</words></direction-type><sound dacapo="yes"/></direction>';
    expect(listing(passagesOf(withSigns(music, { 2: direction })))).toEqual([
      "exact right 2:1-2:4 5:1-5:4",
      "exact right 3:1-3:3 6:1-6:3",
    ]);
  });
});

test("the order is always the same, and equal input gives equal output", () => {
  const notation = `R: ${tune} | ${other.first} | ${upAThird} | ${tune} // L: C3/4 | C3/1 E3/1 G3/2 | C3/1 E3/1 G3/2 | D3/4`;
  expect(found(notation)).toEqual(found(notation));
});

test("a hand without music and a score of one note have no passages", () => {
  expect(found("C4")).toEqual([]);
  expect(found("R: r/4 // L: C3")).toEqual([]);
});
