import { mkdirSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { describe, expect, test } from "vitest";
import { chosenProfile, SettingsFiles } from "../../server/files/settingsFiles.ts";
import { InputError } from "../../shared/text/problem.ts";
import { temporaryFolder } from "../support/commandLine.ts";

function write(folder: string, path: string, value: unknown): string {
  const whole = join(folder, path);
  mkdirSync(dirname(whole), { recursive: true });
  writeFileSync(whole, typeof value === "string" ? value : JSON.stringify(value));
  return whole;
}

describe("the settings of a score", () => {
  test("come from its folder and those above it, the nearest first", () => {
    const folder = temporaryFolder();
    const above = write(folder, "placewright.json", { root: true, tempo: 60, part: "P1" });
    const near = write(folder, "songs/old/placewright.json", { tempo: 72 });
    const found = new SettingsFiles().settingsFor(join(folder, "songs/old/a.musicxml"));
    expect(found.settings).toEqual({ tempo: 72, part: "P1" });
    expect(found.files.map(({ path }) => path)).toEqual([above, near]);
    expect(new SettingsFiles().settingsFor(join(folder, "a.musicxml")).settings.tempo).toBe(60);
  });

  test("a root ends the way up", () => {
    const folder = temporaryFolder();
    write(folder, "placewright.json", { tempo: 60 });
    write(folder, "songs/placewright.json", { root: true, part: "P1" });
    const { settings, files } = new SettingsFiles().settingsFor(join(folder, "songs/deep/a.musicxml"));
    expect(settings).toEqual({ part: "P1" });
    expect(files).toHaveLength(1);
  });

  test("patterns count from the file's own folder", () => {
    const folder = temporaryFolder();
    write(folder, "songs/placewright.json", { root: true, overrides: [{ files: "drafts/**", tempo: 50 }] });
    const files = new SettingsFiles();
    expect(files.settingsFor(join(folder, "songs/drafts/x/a.mxl")).settings).toEqual({ tempo: 50 });
    expect(files.settingsFor(join(folder, "songs/a.mxl")).settings).toEqual({});
  });

  test("a file that was saved, made or removed since is noticed", () => {
    const folder = temporaryFolder();
    const score = join(folder, "songs/a.mxl");
    const files = new SettingsFiles();
    write(folder, "placewright.json", { root: true, tempo: 60 });
    expect(files.settingsFor(score).settings).toEqual({ tempo: 60 });
    write(folder, "placewright.json", { root: true, tempo: 160 });
    expect(files.settingsFor(score).settings).toEqual({ tempo: 160 });
    const near = write(folder, "songs/placewright.json", { part: "P1" });
    expect(files.settingsFor(score).settings).toEqual({ tempo: 160, part: "P1" });
    rmSync(near);
    expect(files.settingsFor(score).settings).toEqual({ tempo: 160 });
  });

  test("what is wrong comes with its file, and what cannot be read is told", () => {
    const folder = temporaryFolder();
    write(folder, "placewright.json", '{ "root": true,\n "temp": 60 }');
    mkdirSync(join(folder, "songs/placewright.json"), { recursive: true });
    const { files } = new SettingsFiles().settingsFor(join(folder, "songs/a.mxl"));
    expect(files.map(({ problems }) => problems[0]!.message)).toEqual([
      expect.stringContaining('Did you mean "tempo"?'),
      expect.stringContaining("is a folder"),
    ]);
    expect(files[0]!.text.slice(files[0]!.problems[0]!.span.start)).toMatch(/^"temp"/);
  });

  test.skipIf(process.platform === "win32")("a link to a file is as good as the file", () => {
    const folder = temporaryFolder();
    const real = write(folder, "house.json", { root: true, tempo: 60 });
    symlinkSync(real, join(folder, "placewright.json"));
    expect(new SettingsFiles().settingsFor(join(folder, "a.mxl")).settings).toEqual({ tempo: 60 });
  });
});

describe("a profile that is chosen", () => {
  test("is one of the named ones, or read from a file", () => {
    const path = write(temporaryFolder(), "mine.json", { hand: "large", fifths: "1-2" });
    expect(chosenProfile("small-hand")).toEqual({ hand: "small" });
    expect(chosenProfile(path)).toEqual({ hand: "large", fifths: "1-2" });
  });

  test("and what is neither, or is wrong, is told with what to do", () => {
    const path = write(temporaryFolder(), "mine.json", '{\n  "hand": "huge"\n}');
    const message = (name: string): string => {
      try {
        chosenProfile(name);
      } catch (error) {
        if (error instanceof InputError) return error.message;
        throw error;
      }
      return "";
    };
    expect(message("smal-hand")).toContain("Did you mean small-hand?");
    expect(message(path)).toContain(`${path}:2:11: "hand" cannot be "huge".`);
    expect(message(dirname(path))).toContain("is a folder");
  });
});
