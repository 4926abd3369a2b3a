import { existsSync, readdirSync, statSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { projectFolder } from "../support/built.ts";

/** What stands at the root. Everything else has a folder, or is a dot-file. */
const files = [
  "README.md",
  "DEVELOPERS.md",
  "CHANGELOG.md",
  "LICENSE",
  "package.json",
  "package-lock.json",
  "tsconfig.json",
];
const folders = ["client", "server", "shared", "tests", "fixtures"];

/** Made by running the project, and kept out of it by .gitignore. */
const made = /^(node_modules|dist|out|coverage)$|\.(vsix|tgz)$/;

test("the root holds what it always holds, and nothing else", () => {
  const found = readdirSync(projectFolder).filter((name) => !name.startsWith(".") && !made.test(name));
  expect(found.sort()).toEqual([...files, ...folders].sort());
  for (const name of folders) expect(statSync(join(projectFolder, name)).isDirectory(), name).toBe(true);
});

test("tests stand in folders", () => {
  const loose = readdirSync(join(projectFolder, "tests"), { withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map(({ name }) => name);
  expect(loose).toEqual(["vitest.config.ts"]);
});

test("each rule's file has the name of its id", async () => {
  const { rules } = await import("../../shared/rules/registry.ts");
  for (const { id } of rules) {
    const name = id.replace(/-(\w)/g, (_, letter: string) => letter.toUpperCase());
    expect(existsSync(join(projectFolder, "shared", "rules", `${name}.ts`)), id).toBe(true);
  }
});
