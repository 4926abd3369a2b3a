import { describe, expect, test } from "vitest";
import { passageBracketedOtherwise } from "../../shared/rules/passageBracketedOtherwise.ts";
import { passageFingeredOtherwise } from "../../shared/rules/passageFingeredOtherwise.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { checkRule, findingsOf } from "../support/checkRule.ts";
import { tinyScore } from "../support/tinyScore.ts";

const tune = "(C4:4 D4:3 E4:2 (G4:1) F4:2 D4:3 B3:4/1)";
/** The lowest note of the rise stands alone. */
const otherwise = "C4:4 (D4:3 E4:2 (G4:1) F4:2 D4:3 B3:4/1)";
const between = "E4:2+G4:1/2 D4:2+F4:1/2";
const after = "C4:4+E4:3+G4:2+C5:1/4";
const piece = (...bars: string[]): string => bars.join(" | ");
const marked = (bar: string): string => bar.replace("(", "[(]");

const there = "Bracket it there as here";
const here = "Bracket it here as there";
const everywhere = "Bracket it everywhere as here";

describe("passage-bracketed-otherwise", () => {
  const twice = piece(marked(tune), between, otherwise, after);

  test("both places are named, and either can be made like the other", () => {
    checkRule(passageBracketedOtherwise, twice, {
      message:
        "The passage of bar 1 comes back in bar 3 under other brackets: a bracket from C4 to G4 in bar 1, from D4 to G4 in bar 3.",
      fix: there,
      fixed: piece(tune, between, tune, after),
    });
    checkRule(passageBracketedOtherwise, twice, {
      fix: here,
      fixed: piece(otherwise, between, otherwise, after),
    });
  });

  test("connected here, separate there: over a turning note", () => {
    // Slow enough that coming off is no fault of its own.
    const slow = `@40 ${tune}`;
    const separate = "(C4:4 D4:3 E4:2 G4:1) (F4:2 D4:3 B3:4/1)";
    const score = piece(slow.replace("(G4", "[(]G4"), between, separate, after);
    checkRule(passageBracketedOtherwise, score, {
      message: "the placing from F4 is connected over the turning note in bar 1, separate in bar 3.",
      fix: there,
      fixed: piece(slow, between, tune, after),
    });
    checkRule(passageBracketedOtherwise, score, {
      fix: here,
      fixed: piece(`@40 ${separate}`, between, separate, after),
    });
  });

  test("connected here, separate there: by a crossing", () => {
    const crossed = "(C4:3 D4:2 (E4:1) F4:3 G4:2 A4:1) E4:2/1";
    const separate = "(C4:3 D4:2 E4:1) (F4:3 G4:2 A4:1) E4:2/1";
    const score = piece(crossed.replace("(E4", "[(]E4"), between, separate, after);
    checkRule(passageBracketedOtherwise, score, {
      message: "the placing from F4 is connected by a crossing in bar 1, separate in bar 3.",
      fix: there,
      fixed: piece(crossed, between, crossed, after),
    });
    checkRule(passageBracketedOtherwise, score, {
      fix: here,
      fixed: piece(separate, between, separate, after),
    });
  });

  test("of three places the odd one out changes; three ways can all be made like the first", () => {
    checkRule(passageBracketedOtherwise, piece(marked(tune), between, otherwise, after, tune, between), {
      fix: there,
      fixed: piece(tune, between, tune, after, tune, between),
    });
    const third = "(C4:4 D4:3 E4:2 G4:1) (F4:2 D4:3 B3:4/1)";
    const { text } = tinyScore(piece(tune, between, otherwise, after, third, "G3:4/1 D4:2/2 B3:4/1"));
    const titles = findingsOf(analyse(text), passageBracketedOtherwise).map(({ fixes }) =>
      fixes.map(({ title }) => title),
    );
    expect(titles).toEqual([
      [there, here, everywhere],
      [there, here, everywhere],
    ]);
  });

  test("one place that differs from two others, each in a passage of its own, is told of once", () => {
    const lead = "(E4:3 A4:2 C5:1) B4:2/0.5 (F4:4 A4:2 C5:1) D5:1/0.5";
    const follow = "(G3:3 C4:2 F4:1) E4:2/0.5 (A3:4 D4:2 G4:1) C5:1/0.5";
    const apart = "F4:2+A4:1/1 D4:3+A4:1/3";
    const score = piece(lead, otherwise, follow, between, tune, follow, apart, lead, tune, after);
    const found = findingsOf(analyse(tinyScore(score).text), passageBracketedOtherwise);
    expect(found.map(({ message }) => message)).toEqual([
      "The passage of bars 1 to 2 comes back in bars 8 to 9 under other brackets: a bracket from D4 to G4 in bar 2, from C4 to G4 in bar 9.",
    ]);
  });

  test("where the digits differ too, that is one cause and told once, as other fingers", () => {
    const other = "(C4:4 D4:3 E4:2 G4:1) (F4:1 D4:2 B3:3/1)";
    const { text } = tinyScore(piece(tune, between, other, after));
    const analysis = analyse(text);
    expect(findingsOf(analysis, passageBracketedOtherwise)).toEqual([]);
    expect(findingsOf(analysis, passageFingeredOtherwise)).toHaveLength(1);
  });

  test("alike, or bracketed in one place only: nothing is found", () => {
    checkRule(passageBracketedOtherwise, piece(tune, between, tune, after));
    checkRule(passageBracketedOtherwise, piece(tune, between, tune.replace(/[()]/g, ""), after));
    const more = "(A3:4 C4:3 E4:2 (A4:1) G4:2 E4:3 C4:4/1)";
    const hardly = `(C4:4 D4:3 E4:2 G4:1) F4:2 D4:3 B3:4/1 | ${more.replace(/[()]/g, "")}`;
    checkRule(passageBracketedOtherwise, piece(`${tune} | ${more}`, between, hardly, after));
  });

  test("another tempo may ask for it", () => {
    const slow = tinyScore(piece(tune, between, otherwise, after)).text.replace(
      /(<measure number="3"[^>]*>)/,
      '$1<sound tempo="60"/>',
    );
    expect(findingsOf(analyse(slow), passageBracketedOtherwise)).toMatchObject([
      { severity: "info", message: expect.stringContaining("The tempo differs too.") },
    ]);
  });
});
