import { describe, expect, test } from "vitest";
import type { CrossingStyle } from "../../shared/fingering/write.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { fingeredText, fingerScore } from "../../shared/service/fingerScore.ts";
import type { Settings } from "../../shared/service/settings.ts";
import { demoText } from "../support/demo.ts";
import { Dice } from "../support/randomLines.ts";
import { tinyScore } from "../support/tinyScore.ts";

const styles: readonly CrossingStyle[] = ["fromPivot", "nextGroup", "smallBracket"];

const settingsOf = (crossings: CrossingStyle, profile: Settings["profile"] = {}): Settings => ({
  print: { crossings },
  profile,
});

function fingered(text: string, settings: Settings, mode: "keep" | "fresh" = "fresh") {
  const analysis = analyse(text, settings);
  const found = fingerScore(analysis, { mode });
  return { text: fingeredText(analysis, found), solution: found.hands[0]!.solution, edits: found.edits };
}

/** The brackets of the right hand as they are drawn: `0-3 3-7`. */
function drawn(text: string): string {
  const { brackets } = analyse(text).hands[0]!.brackets;
  return brackets.map(({ first, last }) => `${first}-${last}`).join(" ");
}

describe("crossings in print", () => {
  const scale = tinyScore("C4 D4 E4 F4 G4 A4 B4 C5").text;

  test.each([
    ["fromPivot", "0-3 3-7"],
    ["nextGroup", "0-3 4-7"],
    ["smallBracket", "0-3 3-4 4-7"],
  ] as const)("%s: a scale has the brackets %s", (style, wanted) => {
    expect(drawn(fingered(scale, settingsOf(style)).text)).toBe(wanted);
  });

  // Two fingers, five notes: 2 1, 2 1, and one note more.
  test.each([
    ["fromPivot", "0-1 1-3 3-4"],
    ["nextGroup", "0-1 2-3"],
    ["smallBracket", "0-1 1-2 2-3 3-4"],
  ] as const)(
    "%s: a lone note that is crossed to has a bracket with its pivot, or none: %s",
    (style, wanted) => {
      const { text, solution } = fingered(tinyScore("C4 D4 E4 F4 G4").text, settingsOf(style, { level: 2 }));
      expect(solution.placings.map(({ first, last }) => `${first}-${last}`)).toEqual(["0-1", "2-3", "4-4"]);
      expect(drawn(text)).toBe(wanted);
    },
  );

  test.each(styles)("%s: what is written is read back as it was meant, and written once only", (style) => {
    for (let seed = 0; seed < 80; seed += 1) {
      const dice = new Dice(2_100_000 + seed);
      const profile: Settings["profile"] = dice.oneOf([
        {},
        { level: 2 },
        { level: 3 },
        { slides: "propose" },
      ]);
      const settings = settingsOf(style, profile);
      const first = fingered(tinyScore(melody(dice)).text, settings);
      const [hand] = analyse(first.text, settings).hands;
      const meant = first.solution.placings
        .filter((placing) => placing.last > placing.first)
        .map((placing) => `${placing.first}-${placing.last}`);
      const read = hand!.placings
        .filter((placing) => placing.last > placing.first)
        .map((placing) => `${placing.first}-${placing.last}`);
      expect(read, `seed ${seed}`).toEqual(meant);
      for (const mode of ["fresh", "keep"] as const) {
        expect(fingered(first.text, settings, mode).edits, `seed ${seed}, ${mode}`).toEqual([]);
      }
    }
  });

  test("brackets drawn one way are left alone where they still hold, and go where they do not", () => {
    for (const from of styles) {
      const before = fingered(scale, settingsOf(from)).text;
      for (const to of styles) expect(fingered(before, settingsOf(to)).text).toBe(before);
      const threes = fingered(before, settingsOf(from, { crossing: "threes" })).text;
      expect(drawn(threes)).toBe(drawn(fingered(scale, settingsOf(from, { crossing: "threes" })).text));
    }
  });
});

describe("how many fingers are printed", () => {
  const decisions: Settings = { print: { fingers: "decisions" } };
  /** The digits of the right hand as printed, a dash where there is none. */
  const digits = (text: string): string =>
    analyse(text)
      .hands[0]!.fingers.map((row) => row.map((finger) => finger ?? "-").join("+"))
      .join(" ");
  const printed = (notation: string, settings = decisions, mode: "keep" | "fresh" = "fresh"): string =>
    digits(fingered(tinyScore(notation).text, settings, mode).text);

  test.each([
    // Four notes under a bracket can only be 4 3 2 1; the crossing shows its own two.
    ["C4 D4 E4 F4 G4 A4 B4 C5", "4 - - 1 4 - - -", "4 3 2 1 4 3 2 1"],
    ["C5 B4 A4 G4 F4 E4 D4 C4", "1 - - 4 1 - - -", "1 2 3 4 1 2 3 4"],
    // A chord keeps its outer fingers, and the one between where they leave a choice.
    ["C4+E4+G4/2", "3+-+1", "3+2+1"],
    ["C4+E4+C5/2", "4+3+1", "4+3+1"],
    // A string that is plucked again at once, and a note that stands alone.
    ["C4/2 r/1 C4/1", "2 -", "2 2"],
  ])("of %s the decisions are %s, every finger is %s", (notation, some, every) => {
    expect(printed(notation)).toBe(some);
    expect(printed(notation, { print: { fingers: "every" } })).toBe(every);
    expect(printed(notation, {})).toBe(every);
  });

  test("what is printed already stays", () => {
    expect(printed("C4:4 D4:3 E4 F4", decisions, "keep")).toBe("4 3 - -");
    expect(printed("C4:4 D4:3 E4:2 F4:1", decisions, "fresh")).toBe("4 3 2 1");
  });

  test.each([true, false])(
    "what is left out is found again, nothing is missing, and nothing is added twice (alike: %s)",
    (alike) => {
      for (const name of ["lantern-waltz", "millrace-reel"] as const) {
        const bare = demoText(name).replace(/<fingering[^>]*>[^<]*<\/fingering>/g, "");
        const find = (text: string, settings: Settings, mode: "keep" | "fresh") => {
          const analysis = analyse(text, settings);
          const found = fingerScore(analysis, { mode, alike });
          return { ...found, text: fingeredText(analysis, found) };
        };
        const fingersOf = ({ hands }: ReturnType<typeof find>) =>
          hands.map(({ solution }) => solution.fingers);
        const sparse = find(bare, decisions, "fresh");
        const count = sparse.text.match(/<fingering/g)!.length;
        expect(count).toBeLessThan(find(bare, {}, "fresh").text.match(/<fingering/g)!.length * 0.85);
        const again = find(sparse.text, decisions, "keep");
        expect(again.edits).toEqual([]);
        const filled = find(sparse.text, {}, "keep");
        expect(fingersOf(filled)).toEqual(fingersOf(sparse));
        const missing = (settings: Settings) =>
          analyse(sparse.text, settings).findings.filter(({ rule }) => rule === "missing-finger").length;
        expect(missing(decisions)).toBe(0);
        // That only decisions are fingered is seen without the setting, too; only long gaps are told then.
        expect(missing({})).toBeLessThan(10);
      }
    },
    300_000,
  );

  test("a random melody keeps its fingers and brackets through a sparse print", () => {
    for (let seed = 0; seed < 60; seed += 1) {
      const dice = new Dice(2_200_000 + seed);
      const settings: Settings = { print: { fingers: "decisions", crossings: dice.oneOf(styles) } };
      const first = fingered(tinyScore(melody(dice)).text, settings);
      expect(fingered(first.text, settings, "keep").edits, `seed ${seed}`).toEqual([]);
      const found = analyse(first.text, settings).findings;
      expect(
        found.filter(({ rule }) => rule === "missing-finger"),
        `seed ${seed}`,
      ).toEqual([]);
      const read = fingered(first.text, settings, "keep").solution;
      expect(read.fingers, `seed ${seed}`).toEqual(first.solution.fingers);
    }
  });
});

/** Runs with turns and some leaps. */
function melody(dice: Dice): string {
  const notes: string[] = [];
  let place = dice.whole(28, 36);
  let heading = 1;
  for (let i = 0; i < 16; i += 1) {
    notes.push(`${"CDEFGAB"[place % 7]}${Math.floor(place / 7)}`);
    if (dice.chance(0.2)) heading = -heading;
    place += heading * (dice.chance(0.15) ? dice.whole(2, 5) : 1);
    place = Math.min(45, Math.max(21, place));
  }
  return notes.join(" ");
}
