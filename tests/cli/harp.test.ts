import { readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { harpPreset } from "../../shared/harp/instruments.ts";
import { openTuning } from "../../shared/harp/tunings.ts";
import { analyse, type Settings } from "../../shared/service/analyse.ts";
import { fingerScore } from "../../shared/service/fingerScore.ts";
import { projectFolder } from "../support/built.ts";
import { placewright } from "../support/commandLine.ts";
import { tinyScore } from "../support/tinyScore.ts";

const pool = join(projectFolder, "fixtures", "levers", "quarry-pool.musicxml");

test("every common tuning with what it costs, then the levers at the start and every change", async () => {
  const { code, out } = await placewright(["harp", pool]);
  expect(code).toBe(0);
  expect(out.split("\n").slice(0, 10)).toEqual([
    "  open strings in  notes  lever changes  without time  while ringing  fingering costs more by",
    "  C major          all    22             1             9              12.5",
    "  F major          all    13             0             4              3.27",
    "* B flat major     all    9              0             1              0",
    "  E flat major     all    9              0             1              0",
    "  A flat major     all    9              0             1              0",
    "",
    "On a lever harp with open strings in E flat major:",
    "Before the piece: levers up on A2 A4 A5.",
    "9 changes:",
  ]);
  expect(out).toContain("  for bar 6, beat 2    E5 up    left hand, before its G2 in bar 5, beat 1\n");
});

test("a harp that lacks notes says which", async () => {
  const { text } = tinyScore("Eb4/4 | Ab4/4 | C4/4");
  const { out } = await placewright(["harp", "-", "--harp", "lap-22"], text);
  expect(out).toContain("C major          all");
  const low = await placewright(
    ["harp", "-", "--harp", "lap-22", "--tuning", "C"],
    tinyScore("L: C3 G2").text,
  );
  expect(low.out).toContain("all but C3 G2");
  expect(low.out).toContain("On a 22-string lap harp with open strings in C major:");
});

test("a pedal harp: its setting in the order of the pedals, every move with its foot", async () => {
  const { text } = tinyScore("F#4/2 Bb4/2 | F4/4 | E4/1 Eb4/1 E4/1 Eb4/1");
  const { out } = await placewright(["harp", "-", "--harp", "pedal-47"], text);
  expect(out.split("\n")).toEqual([
    "On a 47-string concert grand pedal harp:",
    "Before the piece: D C Bb | E F# G A.",
    "4 changes:",
    "  for bar 2, beat 1  F natural  right foot",
    "  for bar 3, beat 2  E flat     right foot",
    "  for bar 3, beat 3  E natural  right foot",
    "  for bar 3, beat 4  E flat     right foot",
    "With notes on neighbouring strings that sound the same, none is needed.",
    "",
  ]);
});

test("json", async () => {
  const { out } = await placewright(["harp", pool, "--format", "json"]);
  const document = JSON.parse(out);
  expect(document).toMatchObject({
    version: 1,
    tuning: "Eb",
    mechanism: "lever",
    leversUp: ["A2", "A4", "A5"],
  });
  expect(document.tunings).toHaveLength(5);
  expect(document.moves).toHaveLength(9);
  expect(document.moves[0]).toEqual({
    place: { bar: "6", beat: "2" },
    hand: "right",
    what: "E5",
    to: "up",
    after: { bar: "3", beat: "1", notes: ["Eb5"] },
    before: { bar: "5", beat: "1", notes: ["G2"] },
    inTime: true,
    rings: false,
  });
});

test("wrong calls are refused", async () => {
  expect(await placewright(["harp", pool, "--harp", "pedal-47", "--tuning", "C"])).toMatchObject({ code: 2 });
  expect((await placewright(["harp", pool, "--harp", "lever-35"])).err).toContain("Did you mean lever-34?");
  expect((await placewright(["harp"])).err).toContain("Name a score");
});

/** Common practice, no source: a placing that spans a lever change in the same hand cannot be played. */
test("with the levers the left hand is fingered otherwise, where they are moved and only there", () => {
  const text = readFileSync(pool, "utf8");
  const placings = (settings: Settings): [number, number][] => {
    const { hands } = fingerScore(analyse(text, settings), { mode: "fresh", alike: false });
    return hands
      .find(({ written }) => written.hand === "left")!
      .solution.placings.map(({ first, last }) => [first, last]);
  };
  const tuned: Settings = { instrument: { harp: harpPreset("lever-34")!, open: openTuning("C")! } };
  const moments = analyse(text, tuned).levers!.changes.flatMap(({ before }) => before ?? []);
  const over = (own: readonly [number, number][]): number =>
    moments.filter((at) => own.some(([first, last]) => first < at && last >= at)).length;
  const without = placings({ instrument: { harp: harpPreset("lever-34")! } });
  expect(over(without)).toBeGreaterThan(0);
  expect(over(placings(tuned))).toBe(0);
});
