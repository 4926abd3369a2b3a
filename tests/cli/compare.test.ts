import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { projectFolder } from "../support/built.ts";
import { builtPlacewright, placewright, temporaryFolder } from "../support/commandLine.ts";
import { demoText } from "../support/demo.ts";
import { editedEdition } from "../support/editedEdition.ts";
import { Dice } from "../support/randomLines.ts";
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

describe("the errata slip", () => {
  const demo = join(projectFolder, "fixtures/demo/lantern-waltz.musicxml");

  /** The slip of an edition that a script made. */
  async function slip(seed: number): Promise<{ page: string; fingering: number }> {
    const folder = temporaryFolder();
    const now = join(folder, "new.musicxml");
    writeFileSync(now, editedEdition(demoText("lantern-waltz"), new Dice(seed)).text);
    const out = join(folder, "errata.html");
    const answer = await builtPlacewright(["compare", demo, now, "--format", "html", "--out", out]);
    expect(answer).toMatchObject({ code: 1, out: "", err: "" });
    const { changes } = JSON.parse((await placewright(["compare", demo, now, "--format", "json"])).out);
    const fingering = changes.filter(
      ({ kind }: { kind: string }) => kind === "fingers" || kind === "bracket",
    );
    return { page: readFileSync(out, "utf8"), fingering: fingering.length };
  }

  test("needs nothing beside it, tells every change, and shows each bar before and after", async () => {
    const { page, fingering } = await slip(3);
    expect(page).not.toMatch(/<script|<link|<img|\bsrc=|@import|url\((?!data:)|href="(?!#)/);
    const entries = page.split('<section class="entry">').slice(1);
    expect(entries.length).toBeGreaterThan(10);
    expect(page.match(/<li>bar /g)).toHaveLength(fingering);
    for (const entry of entries) {
      expect(entry.match(/<figcaption>(before|now)<\/figcaption><svg /g)).toHaveLength(2);
      expect(entry).toContain('class="tint"');
    }
    expect(page).toContain("Stop on pain");
    // Names of drawn things are given once in each picture, and nothing is drawn that has no name.
    for (const [svg] of page.matchAll(/<svg class="engraved"[\s\S]*?<\/svg><\/svg>/g)) {
      const ids = [...svg.matchAll(/ id="([^"]*)"/g)].map(([, id]) => id);
      expect(new Set(ids).size).toBe(ids.length);
      for (const [, id] of svg.matchAll(/href="#([^"]*)"/g)) expect(ids).toContain(id);
    }
  });
});
