import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { builtFile, projectFolder } from "../support/built.ts";

const notices = readFileSync(builtFile("third-party-notices.txt"), "utf8");

/** The packages that a readable bundle says it holds: the bundler writes above each file where it came from. */
function packagesIn(bundle: string): string[] {
  const text = readFileSync(builtFile(bundle), "utf8");
  const found = [...text.matchAll(/^\s*\/\/ node_modules\/((?:@[^/\n]+\/)?[^/\n]+)\//gm)].map(
    ([, name]) => name!,
  );
  return [...new Set(found)];
}

describe("the notices of the build", () => {
  test.each(["cli.cjs", "server.cjs", "extension.cjs"])("name every package in %s", (bundle) => {
    const packages = packagesIn(bundle);
    expect(packages.length).toBeGreaterThan(3);
    expect(packages.filter((name) => !new RegExp(`^${name} \\d+\\.\\d+\\.\\d+`, "m").test(notices))).toEqual(
      [],
    );
  });

  test("name what the page is made of, whose bundle is not readable", () => {
    expect(notices).toMatch(/^preact \d/m);
    expect(notices).toMatch(/^verovio \d/m);
  });

  test("hold the licence of each package, word for word where it has one", () => {
    const names = [...notices.matchAll(/^-{79}\n\n(\S+) (\S+)\nLicence: (\S+)\n\n([^\n]+)/gm)];
    expect(names.length).toBeGreaterThan(10);
    for (const [, name, version, licence] of names) {
      const folder = join(projectFolder, "node_modules", name!);
      const manifest = JSON.parse(readFileSync(join(folder, "package.json"), "utf8"));
      expect([manifest.version, manifest.license], name).toEqual([version, licence]);
      const file = readdirSync(folder).find((each) => /^licen[cs]e/i.test(each));
      if (file) expect(notices, name).toContain(readFileSync(join(folder, file), "utf8").trim());
    }
  });
});
