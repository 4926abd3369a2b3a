import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { placewright, temporaryFolder } from "../support/commandLine.ts";
import { tinyScore } from "../support/tinyScore.ts";

const old = tinyScore("(C4:4 D4:3 E4:2 F4:1)").text;
const fingered = tinyScore("(C4:4 D4:3 E4:1 F4:1)").text;
const noted = tinyScore("(C4:4 D4:3 E4:2 G4:1)").text;

function files(now: string): [string, string] {
  const folder = temporaryFolder();
  writeFileSync(join(folder, "old.musicxml"), old);
  writeFileSync(join(folder, "new.musicxml"), now);
  return [join(folder, "old.musicxml"), join(folder, "new.musicxml")];
}

describe("compare", () => {
  test("0 and nothing changed, whatever the file looks like", async () => {
    const { code, out } = await placewright(["compare", ...files(old.replaceAll("\n", "\n\n"))]);
    expect({ code, out }).toEqual({ code: 0, out: "Fingering\n  nothing changed\n" });
  });

  test("1 and what was changed, fingering first and notes apart", async () => {
    const { code, out } = await placewright(["compare", ...files(fingered)]);
    expect(code).toBe(1);
    expect(out).toBe("Fingering\n  bar 1, right hand, beat 2: 1 instead of 2 on E4\n");
    const other = await placewright(["compare", ...files(noted)]);
    expect(other.code).toBe(1);
    expect(other.out).toContain("Notes\n  bar 1, right hand, beat 5/2: G4 instead of F4\n");
  });

  test("as JSON every change has its kind, its words and both places", async () => {
    const { out } = await placewright(["compare", ...files(fingered), "--format", "json"]);
    const { version, changes } = JSON.parse(out);
    expect(version).toBe(1);
    expect(changes).toEqual([
      {
        kind: "fingers",
        where: "bar 1, right hand, beat 2",
        what: "1 instead of 2 on E4",
        old: { bar: "1", beat: "2", hand: "right" },
        new: { bar: "1", beat: "2", hand: "right" },
        notes: [{ pitch: "E4", chord: 0, old: "2", new: "1" }],
      },
    ]);
  });

  test("as Markdown it is a list, written where it is wanted", async () => {
    const [a, b] = files(fingered);
    const out = join(a, "..", "changes.md");
    const answer = await placewright(["compare", a, b, "--format", "markdown", "--out", out]);
    expect(answer).toMatchObject({ code: 1, out: "" });
    expect(readFileSync(out, "utf8")).toContain("- **bar 1, right hand, beat 2:** 1 instead of 2 on E4\n");
  });

  test("2 when a version cannot be read, with its name and what to do", async () => {
    const [a, b] = files("<score-part");
    const { code, out, err } = await placewright(["compare", a, b]);
    expect({ code, out }).toEqual({ code: 2, out: "" });
    expect(err).toContain(`${b}:1:`);
    expect((await placewright(["compare", a])).err).toContain("placewright compare OLD NEW");
    expect((await placewright(["compare", "-", "-"])).err).toContain("Only one");
  });

  test("a version may come from standard input", async () => {
    const [a] = files(old);
    expect(await placewright(["compare", a, "-"], fingered)).toMatchObject({ code: 1 });
  });
});
