import { describe, expect, test } from "vitest";
import { harpPresets } from "../../shared/harp/instruments.ts";
import { passageFingeredOtherwise } from "../../shared/rules/passageFingeredOtherwise.ts";
import { type Analysis, analyse } from "../../shared/service/analyse.ts";
import { applyEdits } from "../../shared/text/edits.ts";
import { checkFix, checkRule, findingsOf } from "../support/checkRule.ts";
import { demoText } from "../support/demo.ts";
import { tinyScore } from "../support/tinyScore.ts";

const tune = "C4:4 D4:3 E4:2 G4:1 F4:2 D4:3 B3:4/1";
/** With a new placing after the turn. */
const otherwise = tune.replace("F4:2 D4:3 B3:4", "F4:1 D4:2 B3:3");
const between = "E4:2+G4:1/2 D4:2+F4:1/2";
const after = "C4:4+E4:3+G4:2+C5:1/4";
const piece = (...bars: string[]): string => bars.join(" | ");
const marked = (bar: string): string => bar.replace(/F4:(\d)/, "F4:[$1]");

const there = "Finger it there as here";
const here = "Finger it here as there";
const everywhere = "Finger it everywhere as here";
const best = "Finger it everywhere alike, as is best for all places together";

describe("passage-fingered-otherwise", () => {
  const twice = piece(marked(tune), between, otherwise, after);

  test("both places are named, and the later one can be made like the earlier", () => {
    checkRule(passageFingeredOtherwise, twice, {
      message:
        "The passage of bar 1 comes back in bar 3 with other fingers: F4 has 2 in bar 1 and 1 in bar 3; two more notes differ.",
      fix: there,
      fixed: piece(tune, between, tune, after),
    });
  });

  test("or the earlier one like the later", () => {
    checkRule(passageFingeredOtherwise, twice, {
      fix: here,
      fixed: piece(otherwise, between, otherwise, after),
    });
  });

  test("or both as is best for both", () => {
    checkRule(passageFingeredOtherwise, twice, { fix: best, fixed: piece(tune, between, tune, after) });
  });

  test("printed alike, or in part in one place: nothing is found", () => {
    checkRule(passageFingeredOtherwise, piece(tune, between, tune, after));
    checkRule(passageFingeredOtherwise, piece(tune, between, tune.replace("F4:2 D4:3", "F4 D4:3"), after));
    checkRule(passageFingeredOtherwise, piece(tune, between, tune.replace(/:\d/g, ""), after));
  });

  test("of three places the odd one out is compared with the others, and it alone changes", () => {
    const thrice = piece(marked(tune), between, otherwise, after, tune, between);
    checkRule(passageFingeredOtherwise, thrice, {
      fix: there,
      fixed: piece(tune, between, tune, after, tune, between),
    });
    const [finding] = findingsOf(analyse(tinyScore(thrice).text), passageFingeredOtherwise);
    expect(finding?.related.map(({ message }) => message)).toEqual(["Bar 3: F4 has 1.", "Bar 5: F4 has 2."]);
  });

  test("three ways in three places are two findings; all can be made like the first", () => {
    const third = tune.replace("F4:2 D4:3 B3:4", "F4:1 D4:3 B3:4");
    const text = tinyScore(piece(tune, between, otherwise, after, third, "G3:4/1 D4:2/2 B3:4/1")).text;
    const analysis = analyse(text);
    const findings = findingsOf(analysis, passageFingeredOtherwise);
    expect(findings.map(({ fixes }) => fixes.map(({ title }) => title))).toEqual([
      [there, here, everywhere, best],
      [there, here, everywhere, best],
    ]);
    const all = findings[0]!.fixes.find(({ title }) => title === everywhere)!;
    const after2 = analyse(applyEdits(text, all.edits()));
    expect(findingsOf(after2, passageFingeredOtherwise)).toEqual([]);
  });

  test("brackets over the notes that change go with the digits", () => {
    const bracketed = "(C4:4 D4:3 E4:2 (G4:1) F4:2 D4:3 B3:4/1)";
    const other = "(C4:4 D4:3 E4:2 G4:1) (F4:1 D4:2 B3:3/1)";
    const score = piece(marked(bracketed), between, other, after);
    checkRule(passageFingeredOtherwise, score, {
      fix: there,
      fixed: piece(bracketed, between, bracketed, after),
    });
    checkRule(passageFingeredOtherwise, score, { fix: here, fixed: piece(other, between, other, after) });
  });

  test("the small notes around may be others: they stay", () => {
    const left = "L: C3:1/4 | C3:1/4 | C3:1/4 | C3:1/4";
    const score = (a: string, b: string): string =>
      `R: ${piece(`~A4 ${a}`, between, `${b} ~B3 ~C4`, after)} // ${left}`;
    checkRule(passageFingeredOtherwise, score(marked(tune), otherwise), {
      fix: there,
      fixed: score(tune, tune),
    });
  });

  test("in a longer passage that comes back with a change, what is far from the change counts", () => {
    const long = `${tune} | A3:4 C4:3 E4:2 A4:1 G4:2 E4:3 C4:4/1`;
    const changed = long.replace("A3:4 C4:3 E4:2 A4:1", "A3:4 C4:3 F4:2 A4:1");
    checkRule(
      passageFingeredOtherwise,
      piece(marked(long), between, changed.replace("F4:2 D4:3 B3:4", "F4:1 D4:2 B3:3"), after),
      { fix: there, fixed: piece(long, between, changed, after) },
    );
  });

  describe("is information, or nothing, where it has a reason", () => {
    test("the first or last note belongs to what stands beside it", () => {
      const slow = tune.replace("D4:3 B3:4/1", "D4:3/1 B3:4/0.5");
      const end = slow.replace("B3:4", "B3:3");
      checkRule(passageFingeredOtherwise, piece(slow.replace("B3:4", "B3:[4]"), between, end, after), {
        severity: "info",
      });
    });

    test("a bracket that reaches out of the passage", () => {
      const bar = "C4:4 D4:3 E4:2 G4:1 F4:2";
      checkRule(
        passageFingeredOtherwise,
        piece(`${bar} (D4:1 B3:2/1 | A3:3/2) C4:1/2`, `${bar} (D4:2 B3:3/1 | G3:4/2) F4:1/2`, after),
      );
    });

    test("each place is easier as it is, because of what follows", () => {
      // Up to a fourth note, or with the thumb on the third and away: common practice, no source.
      const start = "A4:1/1 F4:2/1 B3:4/0.5";
      checkRule(
        passageFingeredOtherwise,
        piece(
          `${start} C4:[4]/0.25 D4:3/0.25 E4:2/0.75 | F4:1/0.25 E5:1/1 A5:1/1 E5:2/1`,
          between,
          `${start} C4:3/0.25 D4:2/0.25 E4:1/0.75 | C5:2/2 F3:2/2`,
          after,
        ),
        { severity: "info", message: "Each suits the music around it." },
      );
    });

    test("one place is much louder than the other", () => {
      const withSigns = (...names: string[]): string => {
        let bar = 0;
        return tinyScore(piece(tune, between, otherwise, after)).text.replace(/<note>/g, (note, at, all) => {
          const isFirst = /<measure number="[13]">(?:(?!<note>)[\s\S])*$/.test(all.slice(0, at));
          if (!isFirst) return note;
          const name = names[bar];
          bar += 1;
          return `<direction><direction-type><dynamics><${name}/></dynamics></direction-type></direction>${note}`;
        });
      };
      const severities = (text: string): string[] =>
        findingsOf(analyse(text), passageFingeredOtherwise).map(({ severity }) => severity);
      expect(severities(withSigns("p", "f"))).toEqual(["info"]);
      expect(severities(withSigns("p", "mf"))).toEqual(["warning"]);
    });

    test("a lever is moved in one of the places", () => {
      const harp = harpPresets.find(({ mechanism, count }) => mechanism === "lever" && count === 36)!;
      const left = "// L: F3:1/4 | F#3:1/4 | F#3:1/2 F3:1/2 | C3:2/4";
      checkRule(passageFingeredOtherwise, `R: ${twice} ${left}`, {
        settings: { instrument: { harp } },
        severity: "info",
        message: "A lever is moved in one of them.",
      });
      // The feet move pedals.
      checkRule(passageFingeredOtherwise, `R: ${twice} ${left}`);
    });
  });

  test("the fault planted in the demo is the first thing that is reported, and each fix settles it", () => {
    const text = demoText("lantern-waltz");
    const analysis = analyse(text);
    const [first] = analysis.findings;
    expect(first).toMatchObject({ rule: "passage-fingered-otherwise", severity: "warning", bar: "2" });
    expect(first?.message).toContain("F#5 has 4 in bar 2 and 2 in bar 26");
    expect(first?.related.map(({ message }) => message)).toEqual([
      "Bar 10: F#5 has 4.",
      "Bar 26: F#5 has 2.",
    ]);
    expect(first?.fixes.map(({ title }) => title)).toEqual([there, here, best]);
    const told = ({ findings }: Analysis): string[] =>
      findings.filter(({ severity }) => severity !== "info").map(({ message }) => message);
    const remarks = first!.fixes.map((fix) => fix.remark?.());
    expect(remarks).toEqual([
      undefined,
      undefined,
      expect.stringMatching(
        /^Fingered alike, these places cost (no|at most \d+(\.\d+)?) more than each by itself\.$/,
      ),
    ]);
    const messages = told(analysis).slice(1);
    for (const fix of first!.fixes) {
      checkFix(analysis, passageFingeredOtherwise, first!, fix);
      const edits = fix.edits();
      const fixed = applyEdits(text, edits);
      expect(told(analyse(fixed)), fix.title).toEqual(messages);
      expect(undone(text, fixed, edits), fix.title).toBe(text);
    }
  });

  test("a place that returns a thousand times is still compared quickly", () => {
    const bars = Array.from({ length: 120 }, (_, i) => (i === 77 ? otherwise : tune));
    const { text } = tinyScore(piece(...bars.slice(0, 1).map(marked), ...bars.slice(1)));
    expect(findingsOf(analyse(text), passageFingeredOtherwise)).toHaveLength(1);
  });
});

/** The text before some edits, from the text after them and what they replaced, as an editor undoes them. */
function undone(
  before: string,
  after: string,
  edits: readonly {
    readonly span: { readonly start: number; readonly end: number };
    readonly text: string;
  }[],
): string {
  const inOrder = [...edits].sort((a, b) => a.span.start - b.span.start || a.span.end - b.span.end);
  let shift = 0;
  const inverse = inOrder.map(({ span, text }) => {
    const start = span.start + shift;
    shift += text.length - (span.end - span.start);
    return { span: { start, end: start + text.length }, text: before.slice(span.start, span.end) };
  });
  return applyEdits(after, inverse);
}
