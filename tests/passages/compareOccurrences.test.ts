import { describe, expect, test } from "vitest";
import { writtenHand } from "../../shared/fingering/written.ts";
import { compareOccurrences, type Difference } from "../../shared/passages/compareOccurrences.ts";
import { readBrackets } from "../../shared/score/brackets.ts";
import { findHarp } from "../../shared/score/findHarp.ts";
import { readScore } from "../../shared/score/readScore.ts";
import { tinyScore } from "../support/tinyScore.ts";
import { passagesOf } from "./listing.ts";

const between = "G3+B3/1 A5/0.5 F4/0.5 E4+G4+C5/2";

/** What is printed otherwise in the second place of the passage that stands first, by its plain music. */
function differences(first: string, second: string): string[] {
  const { text } = tinyScore(`${first} | ${between} | ${second} | D5/1 B3/3`);
  const { lines, classes } = passagesOf(text);
  const { score } = readScore(text);
  const brackets = readBrackets(score, findHarp(score), lines);
  const hands = lines.map((line, i) => writtenHand(line, brackets[i]!));
  expect(classes).toHaveLength(1);
  return compareOccurrences(hands, classes[0]!, 0, 1).map(describeDifference);
}

function describeDifference(difference: Difference): string {
  const { kind, here, there } = difference;
  if (kind === "finger") {
    const at = here.stringAt === 0 ? `${here.event}` : `${here.event}.${here.stringAt}`;
    return `finger ${at}=${there.event}: ${difference.hereFinger ?? "-"} ${difference.thereFinger ?? "-"}`;
  }
  const range = (one: typeof here): string => (one ? `${one.first}-${one.last}` : "none");
  const joints = kind === "joint" ? `: ${difference.hereJoint} ${difference.thereJoint}` : "";
  return `${kind} ${range(here)}=${range(there)}${joints}`;
}

const bare = "C4 D4 E4 F4 G4 F4 E4 C4 | D4/1 A4/1 F4/2";

describe("two places of a passage", () => {
  test("printed alike", () => {
    const printed = "(C4:4 D4:3 E4:2 F4:1) (G4:1 F4:2 E4:3 C4:4) | D4:4/1 A4:1/1 F4:2/2";
    expect(differences(printed, printed)).toEqual([]);
    expect(differences(bare, bare)).toEqual([]);
  });

  test("another digit", () => {
    expect(differences(bare.replace("F4 G4", "F4:2 G4:1"), bare.replace("F4 G4", "F4:1 G4:1"))).toEqual([
      "finger 3=18: 2 1",
    ]);
  });

  test("a digit in one place only", () => {
    expect(differences(bare.replace("E4 F4", "E4:2 F4"), bare.replace("E4 F4", "E4 F4:1"))).toEqual([
      "finger 2=17: 2 -",
      "finger 3=18: - 1",
    ]);
  });

  test("a bracket that is longer, one that is missing", () => {
    expect(
      differences(
        bare.replace("C4 D4 E4 F4", "(C4 D4 E4 F4)"),
        bare.replace("C4 D4 E4", "(C4 D4 E4)").replace("G4 F4 E4 C4", "(G4 F4 E4 C4)"),
      ),
    ).toEqual(["bracket 0-3=15-17", "bracket none=19-22"]);
  });

  test("connected here, separate there: over a turning note", () => {
    expect(
      differences(
        bare.replace("C4 D4 E4 F4 G4 F4 E4 C4", "C4 (D4 E4 F4 (G4) F4 E4 C4)"),
        bare.replace("C4 D4 E4 F4 G4 F4 E4 C4", "C4 (D4 E4 F4 G4) (F4 E4 C4)"),
      ),
    ).toEqual(["joint 5-7=20-22: overlap separate"]);
  });

  test("connected here, separate there: a crossing", () => {
    const rising = "C4 D4 E4 F4 G4 A4 B4 E4 | D4/1 A4/1 F4/2";
    expect(
      differences(
        rising.replace("C4 D4 E4 F4 G4 A4 B4", "(C4 D4 E4 (F4) G4 A4 B4)"),
        rising.replace("C4 D4 E4 F4 G4 A4 B4", "(C4 D4 E4 F4) (G4 A4 B4)"),
      ),
    ).toEqual(["joint 4-6=19-21: cross separate"]);
  });

  test("a bracket that reaches out of the passage is the business of what follows", () => {
    const last = "D4/1 A4/1 F4/2";
    const { text } = tinyScore(
      [
        bare.replace(last, "D4/1 (A4/1 F4/2 | D4/1) A5/0.5 F5/0.5 E4+G4+C5/2"),
        bare.replace(last, "D4/1 (A4/1 F4/2) | G3/1 B3/3"),
      ].join(" | "),
    );
    const { lines, classes } = passagesOf(text);
    const { score } = readScore(text);
    const brackets = readBrackets(score, findHarp(score), lines);
    const hands = lines.map((line, i) => writtenHand(line, brackets[i]!));
    expect(hands[0]?.placings).toHaveLength(2);
    expect(compareOccurrences(hands, classes[0]!, 0, 1)).toEqual([]);
  });

  test("what is compared is the strings that both have", () => {
    const printed =
      "C4:1 D4:1 E4:1 F4:1 G4:1 F4:1 E4:1 C4:1 | D4:1/1 A4:1/1 F4:1/2 | E4:1/1 B4:1/1 G4:1+C5:2/2";
    const changed = printed
      .replaceAll(":1", ":2")
      .replace("A4:2", "~G4:3 B4:2")
      .replace("G4:2+C5:2", "G4:2+C5:1");
    const found = differences(printed, changed);
    // The note on another string and the grace note stand for nothing in the first place.
    expect(found).toHaveLength(14);
    expect(found.filter((line) => line.startsWith("finger 9"))).toEqual([]);
    expect(found.slice(-2)).toEqual(["finger 13=32: 1 2", "finger 13.1=32: 2 1"]);
  });

  test("asked the other way round it says the same", () => {
    const first = "(C4:4 D4:3 E4:2 F4:1) G4 F4 E4 C4 | D4/1 A4/1 F4/2";
    const second = "(C4:3 D4:2 E4:1) F4 G4 F4 E4 C4 | D4/1 A4/1 F4/2";
    expect(differences(first, second)).toHaveLength(differences(second, first).length);
  });
});
