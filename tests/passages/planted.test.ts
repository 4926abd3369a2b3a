import { expect, test } from "vitest";
import { judge } from "./judge.ts";
import { passagesOf } from "./listing.ts";
import { nearChanges, type PlantKind, plantedScore } from "./plantedScore.ts";

const seeds = Array.from({ length: 96 }, (_, i) => i + 1);

test("planted returns are found, and little else", async ({ annotate }) => {
  const planted = new Map<string, { all: number; found: number }>();
  let classes = 0;
  let right = 0;
  let caught = 0;
  for (const seed of seeds) {
    const score = plantedScore(seed);
    const found = passagesOf(score.text);
    const verdict = judge(score, found.classes);
    for (const { plant, found: isFound } of verdict.plants) {
      const name = plant.change ? `near, ${plant.change}` : plant.kind;
      const count = planted.get(name) ?? { all: 0, found: 0 };
      planted.set(name, { all: count.all + 1, found: count.found + (isFound ? 1 : 0) });
    }
    classes += found.classes.length;
    right += verdict.rightClasses;
    caught += verdict.caught.length;
  }
  const counts = [...planted].sort(([a], [b]) => (a < b ? -1 : 1));
  const table = counts.map(([name, { all, found }]) => `${name}: ${found} of ${all}`).join("; ");
  await annotate(
    `${seeds.length} scores. Found: ${table}. Of ${classes} classes ${right} were planted. Traps caught: ${caught} of ${2 * seeds.length}.`,
  );

  const plain: readonly PlantKind[] = ["exact", "shifted", "otherHand"];
  for (const kind of plain) {
    expect(planted.get(kind)!.all, kind).toBeGreaterThan(20);
    expect(planted.get(kind)!.found, kind).toBe(planted.get(kind)!.all);
  }
  const near = nearChanges.map((change) => planted.get(`near, ${change}`)!);
  for (const { all } of near) expect(all).toBeGreaterThan(0);
  const sum = (key: "all" | "found"): number => near.reduce((total, count) => total + count[key], 0);
  expect(sum("found") / sum("all"), table).toBeGreaterThanOrEqual(0.95);
  // What else is found are chance returns of three or four notes.
  expect(right / classes).toBeGreaterThanOrEqual(0.92);
  // A tune backwards can be the same tune in part.
  expect(caught).toBeLessThanOrEqual(1);
});
