import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { listing, passagesOf } from "./listing.ts";

/** What the tunes were written to have: each is one class, whatever else is found. */
const written: Record<string, readonly string[]> = {
  "lantern-waltz": [
    "exact right 1:1-6:3 9:1-14:3 25:1-30:3",
    "exact right 9:1-15:3 25:1-31:3",
    "shifted right 1:1-2:3 5:1-6:3+1 9:1-10:3 13:1-14:3+1 25:1-26:3 29:1-30:3+1",
    "shifted right 17:1-18:1 19:1-20:1-2",
  ],
  "millrace-reel": [
    "exact right 1:1-8:1 17:1-24:1",
    "shifted right 1:1-1:9/2 3:1-3:9/2+1 5:1-5:9/2 17:1-17:9/2 19:1-19:9/2+1 21:1-21:9/2",
    "shifted right 9:1-9:9/2 10:1-10:9/2-1 11:1-11:9/2-2 13:1-13:9/2",
  ],
  "evening-tide": [
    "exact right 0:1-8:1 24:7/2-32:1",
    "shifted right 1:1-1:7/2 3:1-3:7/2+1 5:1-5:7/2 25:1-25:7/2 27:1-27:7/2+1 29:1-29:7/2 33:1-33:7/2-4",
    "near right 17:1-18:5/2 19:1-20:5/2-2(l)",
  ],
};

describe.each(Object.entries(written))("%s", (name, expected) => {
  const text = readFileSync(new URL(`../../fixtures/demo/${name}.musicxml`, import.meta.url), "utf8");
  const found = listing(passagesOf(text));

  test.each(expected)("%s", (line) => {
    expect(found).toContain(line);
  });

  test("fingering does not change what comes back", () => {
    const bare = text
      .replace(/\s*<fingering[^>]*>[^<]*<\/fingering>/g, "")
      .replace(/\s*<direction[^>]*>\s*<direction-type>\s*<bracket[\s\S]*?<\/direction>/g, "");
    expect(bare).not.toContain("<fingering");
    expect(listing(passagesOf(bare))).toEqual(found);
  });
});
