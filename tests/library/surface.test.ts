import { createHash } from "node:crypto";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { builtFile, projectFolder } from "../support/built.ts";

/** States of what programs can import, the latest last, each with the sentence of CHANGELOG.md that tells of it. */
const states: readonly { readonly surface: string; readonly changelog: string }[] = JSON.parse(
  readFileSync(join(import.meta.dirname, "surface.json"), "utf8"),
);

/** What programs can import: names of modules, and in them names, parameters and shapes. Words at them do not count. */
function surface(): string {
  const { exports } = JSON.parse(readFileSync(join(projectFolder, "package.json"), "utf8"));
  const declarations = ["library", "model", "rules", "tryRule"].map((name) =>
    readFileSync(builtFile(`types/shared/library/${name}.d.ts`), "utf8")
      .replace(/\/\*[\s\S]*?\*\/|^\s*\/\/.*$/gm, "")
      .replace(/\s+/g, " "),
  );
  // What a house rule may rely on is told at the head of the module.
  const rules = readFileSync(join(projectFolder, "shared/library/rules.ts"), "utf8");
  const promise = /^(?:\/\/.*\n)+/.exec(rules)![0].replace(/[\s/]+/g, " ");
  return [Object.keys(exports).join(" "), ...declarations, promise].join("\n");
}

function digestOf(text: string): string {
  return createHash("sha256").update(text).digest("hex").slice(0, 16);
}

test("what programs can import changes only with a sentence in the list of changes", () => {
  const digest = digestOf(surface());
  expect(
    states.at(-1)!.surface,
    `What programs can import is another one now. Tell of it in CHANGELOG.md, and add { "surface": "${digest}", "changelog": the sentence } to tests/library/surface.json.`,
  ).toBe(digest);
});

test("each state has a sentence of its own, and the list of changes has it", () => {
  const changes = readFileSync(join(projectFolder, "CHANGELOG.md"), "utf8");
  const sentences = states.map(({ changelog }) => changelog);
  for (const sentence of sentences) {
    expect(sentence.length).toBeGreaterThan(30);
    expect(changes).toContain(`- ${sentence}`);
  }
  expect(new Set(sentences).size).toBe(sentences.length);
  expect(new Set(states.map(({ surface: digest }) => digest)).size).toBe(states.length);
});

test("a parameter, a shape, a module and a promise count; words at them do not", () => {
  const text = surface();
  expect(text).toContain(
    "export declare function readScore(source: string | Uint8Array, settings?: object): Score;",
  );
  expect(text).toContain("readonly caution: string;");
  expect(text).toContain("export declare function defineRule(rule: Rule): Rule;");
  expect(text).toContain(". ./rules");
  expect(text).toContain("These parts of what a rule looks at stay as they are");
  expect(text).not.toContain("Reads a score.");
});
