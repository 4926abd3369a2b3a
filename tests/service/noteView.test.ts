import { describe, expect, test } from "vitest";
import { type Analysis, analyse } from "../../shared/service/analyse.ts";
import { hoverText } from "../../shared/service/hoverText.ts";
import { type NoteView, noteView } from "../../shared/service/noteView.ts";
import { tinyScore } from "../support/tinyScore.ts";

/** The view of the n-th note of a score that has a pitch. */
function viewOf(notation: string, n: number, change = (text: string): string => text): NoteView {
  const text = change(tinyScore(notation).text);
  return viewIn(analyse(text), n);
}

function viewIn(analysis: Analysis, n: number): NoteView {
  const { index } = [...analysis.text.matchAll(/<pitch>/g)][n]!;
  return noteView(analysis, index)!;
}

describe("a note", () => {
  test("has its place, its string and what is printed at it", () => {
    // Middle C is in the harp's fourth octave, which runs from E down to F:
    // morleyharps.co.uk, compass explained; mossharpservice.com, how harp strings are numbered.
    expect(viewOf("C4:2 D4 | F#4/1 E5:1>2", 0)).toMatchObject({
      pitch: "C4",
      hand: "right",
      bar: "1",
      beat: "1",
      string: "C string, 4th octave",
      printed: ["2"],
    });
    expect(viewOf("C4:2 D4 | F#4/1 E5:1>2", 2)).toMatchObject({
      pitch: "F#4",
      bar: "2",
      string: "F string, 3rd octave",
    });
    expect(viewOf("C4:2 D4 | F#4/1 E5:1>2", 3)).toMatchObject({
      beat: "2",
      string: "E string, 3rd octave",
      printed: ["1", "2"],
    });
    expect(viewOf("R: C5 // L: C2/3/2 D2", 2)).toMatchObject({ hand: "left", beat: "5/2" });
  });

  test("is found from its first character to its last, and nowhere else", () => {
    const { text } = tinyScore("C4 r D4");
    const analysis = analyse(text);
    const start = text.indexOf("<note>");
    const end = text.indexOf("</note>") + "</note>".length;
    expect(noteView(analysis, start)?.pitch).toBe("C4");
    expect(noteView(analysis, end - 1)?.pitch).toBe("C4");
    expect(noteView(analysis, start - 2)).toBeUndefined();
    expect(noteView(analysis, text.indexOf("<rest"))).toBeUndefined();
    expect(noteView(analysis, text.indexOf("<step>D"))?.pitch).toBe("D4");
    expect(noteView(analysis, text.length)).toBeUndefined();
  });

  test("has the finger that completing the print gives it, with its placing and what others cost", () => {
    // Four notes up are 4 3 2 1: common practice, no source.
    const { plucked } = viewOf("C4 D4 E4 F4", 1);
    expect(plucked!.finger).toBe(3);
    expect(plucked!.placings).toHaveLength(1);
    expect(plucked!.placings[0]!.notes).toMatchObject([
      { pitch: "C4", finger: 4 },
      { pitch: "D4", finger: 3 },
      { pitch: "E4", finger: 2 },
      { pitch: "F4", finger: 1 },
    ]);
    const others = plucked!.choice.choices.filter(({ finger }) => finger !== 3);
    expect(others.map(({ finger }) => finger).sort()).toEqual([1, 2, 4]);
    for (const { moreMilli } of others) expect(moreMilli).toBeGreaterThan(0);
    expect(viewOf("C4 D4:2 E4 F4", 1).plucked!.finger).toBe(2);
  });

  test("that two placings share has both", () => {
    const { plucked } = viewOf("C4 D4 E4 D4 C4", 2);
    expect(plucked!.placings.map(({ joint }) => joint)).toEqual(["start", "overlap"]);
    expect(plucked!.finger).toBe(1);
  });

  test("that a tie leads to, a cue and a hidden note take no finger", () => {
    for (const [notation, n] of [
      ["C4_ C4", 1],
      ["C4!cue D4", 0],
      ["C4!hidden D4", 0],
    ] as const) {
      const view = viewOf(notation, n);
      expect(view.plucked, notation).toBeUndefined();
      expect(hoverText(view, "plaintext"), notation).toContain("takes no finger");
    }
  });

  test("of another instrument is nobody's", () => {
    const { text } = tinyScore("C4 D4");
    const flute = text
      .replace("</part-list>", '<score-part id="F"><part-name>Flute</part-name></score-part></part-list>')
      .replace(
        "</score-partwise>",
        `${/<part id[\s\S]*<\/part>/.exec(text)![0].replace(/<part id="[^"]*"/, '<part id="F"')}</score-partwise>`,
      );
    const analysis = analyse(flute);
    expect(analysis.problems).toEqual([]);
    expect(viewIn(analysis, 0).pitch).toBe("C4");
    expect(noteView(analysis, flute.lastIndexOf("<note>"))).toBeUndefined();
  });
});

describe("the text over a note", () => {
  const view = viewOf("C4 D4:3 E4 F4 G4 A4 B4 C5", 1);

  test("plain", () => {
    const text = hoverText(view, "plaintext");
    expect(text.split("\n").slice(0, 4)).toEqual([
      "D4, right hand, bar 1, beat 3/2",
      "D string, 4th octave",
      "",
      "Printed finger: 3",
    ]);
    expect(text).toContain("Placing, rising: C4 4 · D4 3 · E4 2 · F4 1.");
    expect(text).toMatch(/Other fingers:\n- \d instead costs [\d.]+ more/);
    expect(text).not.toContain("*");
  });

  test("marked up says the same", () => {
    const plain = hoverText(view, "plaintext").replace(/\s+/g, " ");
    expect(hoverText(view, "markdown").replaceAll("**", "").replace(/\s+/g, " ")).toBe(plain);
  });

  test("every cost of the placing adds up to its total", () => {
    const [placing] = view.plucked!.placings;
    const sum = placing!.terms.reduce((total, { milli }) => total + milli, 0);
    expect(sum).toBe(placing!.totalMilli);
    expect(hoverText(view, "plaintext")).toContain(`Cost ${sum / 1000}:`);
  });

  test("a proposed finger is called so, and a printed one that cannot be kept stays in print", () => {
    expect(hoverText(viewOf("C4 D4 E4 F4", 1), "plaintext")).toContain(
      "No finger is printed.\nProposed finger: 3",
    );
    expect(hoverText(viewOf("C4:5 D4 E4 F4", 0), "plaintext")).toContain(
      "Printed finger: 5\nProposed finger: 4",
    );
  });

  test("text from the score is never taken for markup", () => {
    const odd = viewOf('C4:"<b>*2*_[x](y)" D4', 0);
    expect(odd.printed).toEqual(["<b>*2*_[x](y)"]);
    const text = hoverText(odd, "markdown");
    expect(text).toContain("\\<b\\>\\*2\\*\\_\\[x\\]\\(y\\)");
    expect(hoverText(odd, "plaintext")).toContain("<b>*2*_[x](y)");
  });

  test("notes that sound together are told from those that follow", () => {
    const text = hoverText(viewOf("C4+E4 G4", 0), "plaintext");
    expect(text).toMatch(/Placing, rising: C4 \d \+ E4 \d · G4 \d\./);
  });

  test("a note beyond four in a hand has no finger left", () => {
    const text = hoverText(viewOf("C4+D4+E4+F4+G4", 0), "plaintext");
    expect(text).toContain("The hand has no finger left for it.");
  });
});
