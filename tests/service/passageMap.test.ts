import { describe, expect, test } from "vitest";
import { analyse } from "../../shared/service/analyse.ts";
import { passageMap } from "../../shared/service/passageMap.ts";
import { demoText } from "../support/demo.ts";
import { tinyScore } from "../support/tinyScore.ts";

const tune = "(C4:4 D4:3 E4:2 (G4:1) F4:2 D4:3 B3:4/1)";
const otherwise = "(C4:4 D4:3 E4:2 G4:1) (F4:1 D4:2 B3:3/1)";
const bare = tune.replace(/:\d|[()]/g, "");
const between = "E4:2+G4:1/2 D4:2+F4:1/2";
const other = "G3:4/1 A3:3/2 B3:2/1";
const mapOf = (...bars: string[]) => passageMap(analyse(tinyScore(bars.join(" | ")).text));

describe("the map of what comes back", () => {
  const map = mapOf(tune, between, otherwise, other, tune, "D4:1/4", bare, other.replace("A3", "C4"));
  const passage = map.passages.find(({ places }) => places.length === 4)!;

  test("names the passages and says how each place is printed, against what most places have", () => {
    expect(map.passages.map(({ name }) => name)).toEqual(["A", "B"]);
    expect(passage).toMatchObject({ name: "B", kind: "exact", events: 7, model: 0 });
    expect(passage.notes.map((chord) => chord.join("+")).join(" ")).toBe("C4 D4 E4 G4 F4 D4 B3");
    expect(passage.places.map(({ bars, likeness }) => `${bars} ${likeness}`)).toEqual([
      "bar 1 alike",
      "bar 3 unlike",
      "bar 5 alike",
      "bar 7 bare",
    ]);
  });

  test("has the digits side by side, event by event, with their brackets", () => {
    const cells = passage.places.map((place) =>
      place.cells.map((cell) =>
        cell
          ? `${cell.bracketStarts ? "(" : ""}${cell.fingers.map((finger) => finger ?? ".").join("+")}${cell.bracketStops ? ")" : ""}${cell.differs ? "*" : ""}`
          : "",
      ),
    );
    expect(cells.map((row) => row.join(" "))).toEqual([
      "(4 3 2 (1) 2 3 4)",
      "(4 3 2 1) (1* 2* 3)*",
      "(4 3 2 (1) 2 3 4)",
      ".* .* .* .* .* .* .*",
    ]);
  });

  test("says where each difference stands, here and in the model", () => {
    const found = passage.places[1]!.differences.map(({ difference, here, model }) => [
      difference.kind,
      `${here.bar}:${here.beat}`,
      `${model.bar}:${model.beat}`,
    ]);
    expect(found).toEqual([
      ["finger", "3:3", "1:3"],
      ["finger", "3:7/2", "1:7/2"],
      ["finger", "3:4", "1:4"],
      ["joint", "3:3", "1:3"],
    ]);
  });

  test("draws each hand as a strip of bars with bands over it", () => {
    expect(map.strips).toHaveLength(1);
    const [strip] = map.strips;
    expect(strip?.bars.map(({ number, first, last }) => `${number}: ${first}-${last}`).slice(0, 3)).toEqual([
      "1: 0-6",
      "2: 7-8",
      "3: 9-15",
    ]);
    const bands = strip?.bands.filter((band) => band.passage === "B");
    expect(
      bands?.map(({ first, last, place, likeness }) => `${place}: ${first}-${last} ${likeness}`),
    ).toEqual(["0: 0-6 alike", "1: 9-15 unlike", "2: 19-25 alike", "3: 27-33 bare"]);
  });

  test("a place with fewer digits is fingered in part", () => {
    const [passage] = mapOf(tune, between, tune.replace("D4:3 B3:4", "D4 B3:4"), other).passages;
    expect(passage?.places.map(({ likeness }) => likeness)).toEqual(["alike", "in part"]);
  });

  test("both hands have their strips, and bands lie within them", () => {
    const { strips, passages } = passageMap(analyse(demoText("evening-tide")));
    expect(strips.map(({ hand }) => hand)).toEqual(["right", "left"]);
    const places = passages.reduce((sum, passage) => sum + passage.places.length, 0);
    expect(strips.reduce((sum, { bands }) => sum + bands.length, 0)).toBe(places);
    for (const { bars, bands } of strips) {
      const last = bars[bars.length - 1]!.last;
      for (const band of bands)
        expect(0 <= band.first && band.first <= band.last && band.last <= last).toBe(true);
    }
  });
});
