import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { placewright, temporaryFolder } from "../support/commandLine.ts";
import { tinyScore } from "../support/tinyScore.ts";

const wrongFinger = tinyScore("C4/4:5 D4/4:2").text;
const octave = tinyScore("C4+C5/4").text;

/** A folder with `songs/a.musicxml`, and the settings of its parent. */
function songs(score: string, settings: object): { folder: string; score: string } {
  const folder = temporaryFolder();
  mkdirSync(join(folder, "songs"));
  writeFileSync(join(folder, "songs/a.musicxml"), score);
  writeFileSync(join(folder, "placewright.json"), JSON.stringify({ root: true, ...settings }));
  return { folder, score: join(folder, "songs/a.musicxml") };
}

const fingersIn = (json: string): unknown =>
  JSON.parse(json).hands[0].events[0].notes.map(({ finger }: { finger: number }) => finger);

describe("check", () => {
  test("follows the severities of the settings around a score", async () => {
    const rule = "finger-outside-range";
    const line = async (severity: string): Promise<string> => {
      const { score } = songs(wrongFinger, { severity: { [rule]: severity } });
      return (await placewright(["check", score])).out;
    };
    expect(await line("error")).toContain(`error ${rule}:`);
    expect(await line("info")).toContain(`info ${rule}:`);
    expect(await line("off")).not.toContain(rule);
  });

  test("names what is wrong in the settings, goes on, and ends with 2", async () => {
    const { folder, score } = songs(wrongFinger, { tempos: 60 });
    const { code, out } = await placewright(["check", score]);
    expect(code).toBe(2);
    expect(out).toContain("finger-outside-range");
    expect(out).toContain(`${join(folder, "placewright.json")}:1:14: error reading: There is no "tempos".`);
    expect(out.match(/placewright\.json/g)).toHaveLength(1);
  });

  test("one wrong file is told once, however many scores it is about", async () => {
    const { folder } = songs(wrongFinger, { tempos: 60 });
    writeFileSync(join(folder, "songs/b.musicxml"), wrongFinger);
    const { out } = await placewright(["check", folder]);
    expect(out.match(/There is no "tempos"/g)).toHaveLength(1);
  });
});

describe("finger", () => {
  test("fingers for the player that the settings tell, and for the one that the call tells before them", async () => {
    const { score } = songs(octave, { profile: "three-fingers" });
    const fingers = async (...options: string[]) =>
      fingersIn((await placewright(["finger", score, "--format", "json", ...options])).out);
    expect(await fingers()).toEqual([3, 1]);
    expect(await fingers("--profile", "usual")).toEqual([4, 1]);
  });

  test("takes a profile from a file", async () => {
    const { folder, score } = songs(tinyScore("C4+G4/4").text, {});
    const profile = join(folder, "mine.json");
    writeFileSync(profile, '{ "fifths": "1-2" }');
    const { out } = await placewright(["finger", score, "--format", "json", "--profile", profile]);
    expect(fingersIn(out)).toEqual([2, 1]);
  });

  test("measures comfort by the profile", async () => {
    const { score } = songs(tinyScore("C4+E5/4").text, {});
    const said = async (profile: string) => (await placewright(["finger", score, "--profile", profile])).err;
    expect(await said("usual")).not.toContain("Wide for the chosen hand profile");
    expect(await said("small-hand")).toContain("Wide for the chosen hand profile");
  });

  test("writes nothing when the settings are wrong, or the profile is none", async () => {
    const { folder, score } = songs(octave, { profile: { hand: "tiny" } });
    const wrong = await placewright(["finger", score]);
    expect(wrong).toMatchObject({ code: 2, out: "" });
    expect(wrong.err).toContain(`${join(folder, "placewright.json")}:1:`);
    expect(wrong.err).toContain('"profile.hand" cannot be "tiny"');
    const none = await placewright(["finger", score, "--profile", "smal-hand"]);
    expect(none).toMatchObject({ code: 2, out: "" });
    expect(none.err).toContain("Did you mean small-hand?");
  });
});

describe("the amount that is printed, and what is read as a placing", () => {
  const scale = tinyScore("C4 D4 E4 F4 G4 A4 B4 C5").text;
  const digits = (text: string): string[] =>
    [...text.matchAll(/<fingering[^>]*>(\d)</g)].map((match) => match[1]!);

  test("finger prints decisions only where the folder says so, and the nearer folder goes before it", async () => {
    const { folder, score } = songs(scale, { print: { fingers: "decisions" } });
    const sparse = (await placewright(["finger", score])).out;
    expect(digits(sparse)).toEqual(["4", "1", "4"]);
    writeFileSync(score, sparse);
    expect((await placewright(["check", score])).out).not.toContain("missing-finger");
    writeFileSync(join(folder, "songs/placewright.json"), '{ "print": { "fingers": "every" } }');
    expect(digits((await placewright(["finger", score])).out)).toEqual([..."43214321"]);
  });

  test("check takes lines without hooks for placings where the folder says so", async () => {
    const turning = tinyScore("(C4:3 D4:2 E4:1 D4:2)").text.replaceAll(/line-end="down"/g, 'line-end="none"');
    const found = async (settings: object): Promise<string> => {
      const { score } = songs(turning, settings);
      return (await placewright(["check", score])).out;
    };
    expect(await found({ placings: "lines" })).toContain("bracket-over-turn");
    expect(await found({})).not.toContain("bracket-over-turn");
  });
});
