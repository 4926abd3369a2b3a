import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import * as library from "../../shared/library/library.ts";
import { projectFolder } from "../support/built.ts";

const folder = join(projectFolder, "shared", "library");
const page = join(folder, "README.md");
const source = readFileSync(join(folder, "library.ts"), "utf8");
const model = readFileSync(join(folder, "model.ts"), "utf8");

/** The words at a declaration, without the stars. */
function words(comment: string): string {
  return comment
    .split("\n")
    .map((line) => line.replace(/^\s*\* ?/, "").trimEnd())
    .join("\n")
    .trim();
}

function reference(): string {
  const functions = [
    ...source.matchAll(/\/\*\*((?:[^*]|\*(?!\/))*)\*\/\s*export function (\w+)(\([\s\S]*?) \{\n/g),
  ].map(
    ([, comment, name, signature]) =>
      `## ${name}\n\n\`\`\`ts\n${name}${signature!.trim()}\n\`\`\`\n\n\`\`\`text\n${words(comment!)}\n\`\`\`\n`,
  );
  return [
    "# The library\n",
    "Made from the words in `library.ts` and `model.ts`; do not edit by hand. To make it anew: `PLACEWRIGHT_WRITE=1 npx vitest run --config tests/vitest.config.ts tests/library`.\n",
    '```ts\nimport { check, finger, readScore } from "placewright";\n```\n',
    ...functions,
    "## Shapes\n",
    `\`\`\`ts\n${model
      .replace(/^\/\/.*\n/gm, "")
      .replace(/^import .*\n/gm, "")
      .trim()}\n\`\`\`\n`,
  ].join("\n");
}

test("the page tells what the library has", () => {
  if (process.env.PLACEWRIGHT_WRITE) writeFileSync(page, reference());
  expect(readFileSync(page, "utf8")).toBe(reference());
});

test("every function has words, and the list of changes names it", () => {
  const changes = readFileSync(join(projectFolder, "CHANGELOG.md"), "utf8");
  const names = Object.keys(library);
  expect(names.length).toBeGreaterThan(5);
  for (const name of names) {
    expect(reference(), name).toContain(`## ${name}\n`);
    expect(changes, `${name} is in CHANGELOG.md`).toContain(`\`${name}\``);
  }
});
