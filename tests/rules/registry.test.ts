import { spawnSync } from "node:child_process";
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { describe, expect, test } from "vitest";
import type { Rule } from "../../shared/rules/define.ts";
import { describeRule, rulesPage } from "../../shared/rules/describe.ts";
import { rules } from "../../shared/rules/registry.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { applyEdits } from "../../shared/text/edits.ts";
import { checkFix } from "../support/checkRule.ts";
import { tinyScore } from "../support/tinyScore.ts";

const root = fileURLToPath(new URL("../..", import.meta.url));
const folder = join(root, "shared/rules");
const page = join(folder, "README.md");
const standards = join(root, "../shared/standards");
const schema = join(standards, "musicxml.xsd");

const camelCase = (id: string): string => id.replace(/-(.)/g, (_, letter: string) => letter.toUpperCase());

describe("the list of rules", () => {
  test("every file that defines a rule is in it, under the name of the file", async () => {
    const found = new Map<string, Rule>();
    for (const name of readdirSync(folder).filter((file) => file.endsWith(".ts"))) {
      const path = join(folder, name);
      if (!/\bdefineRule\(\{/.test(readFileSync(path, "utf8"))) continue;
      const module = (await import(pathToFileURL(path).href)) as Record<string, unknown>;
      const own = Object.values(module).filter((value) => rules.includes(value as Rule)) as Rule[];
      expect(
        own.map(({ id }) => `${camelCase(id)}.ts`),
        `${name} is in registry.ts`,
      ).toEqual([name]);
      expect(Object.keys(module), name).toContain(camelCase(own[0]!.id));
      found.set(name, own[0]!);
    }
    expect([...found.values()].sort(byId)).toEqual([...rules].sort(byId));
  });

  test("ids are kebab-case and differ; severities, titles and texts are as they should be", () => {
    expect(new Set(rules.map(({ id }) => id)).size).toBe(rules.length);
    for (const rule of rules) {
      expect(rule.id).toMatch(/^[a-z]+(-[a-z]+)*$/);
      expect(["error", "warning", "info"]).toContain(rule.severity);
      expect(rule.summary, rule.id).toMatch(/^[A-Z].*\.$/);
      expect(rule.why, rule.id).toMatch(/^[A-Z].*\.$/);
      for (const { title, safety } of rule.fixes) {
        expect(title, rule.id).toMatch(/^[A-Z].*[^.]$/);
        expect(["safe", "ask"]).toContain(safety);
      }
      expect(new Set(rule.fixes.map(({ title }) => title)).size, rule.id).toBe(rule.fixes.length);
    }
  });
});

describe.each(rules.map((rule) => [rule.id, rule] as const))("%s", (id, rule) => {
  test("its bad example is found once, with the rule's severity, and nothing else is", () => {
    const analysis = analyse(tinyScore(rule.bad).text, rule.given);
    const own = analysis.findings.filter((finding) => finding.rule === id);
    expect(own.map(({ severity }) => severity)).toEqual([rule.severity]);
    const others = analysis.findings.filter((finding) => finding.rule !== id && finding.severity !== "info");
    expect(others.map(({ message }) => message)).toEqual([]);
    expect(own[0]!.bar).toBe("1");
    expect(own[0]!.beat).toMatch(/^\d+(\/\d+)?$/);
    expect(own[0]!.hand).toBeDefined();
    for (const fix of own[0]!.fixes) checkFix(analysis, rule, own[0]!, fix, rule.given);
  });

  test("its good example is not, by any rule", () => {
    const { findings } = analyse(tinyScore(rule.good).text, rule.given);
    const told = findings.filter((finding) => finding.rule === id || finding.severity !== "info");
    expect(told.map(({ message }) => message)).toEqual([]);
  });

  test("it can be shown as text", () => {
    const text = describeRule(rule);
    for (const part of [id, rule.severity, rule.summary, rule.why, rule.bad, rule.good]) {
      expect(text).toContain(part);
    }
    for (const { title } of rule.fixes) expect(text).toContain(title);
  });
});

test("the page of rules is made from them", () => {
  const made = rulesPage(rules);
  if (process.env.PLACEWRIGHT_WRITE === "1") writeFileSync(page, made);
  expect(
    readFileSync(page, "utf8"),
    "README.md of the rules is old: run this test with PLACEWRIGHT_WRITE=1",
  ).toBe(made);
});

const hasValidator = spawnSync("xmllint", ["--version"]).error === undefined;

// Source: MusicXML 4.0, musicxml.xsd, read by libxml2.
test.skipIf(!existsSync(schema) || !hasValidator)(
  "what the fixes make of the bad examples is valid MusicXML (skipped without the schema and xmllint)",
  () => {
    const made = mkdtempSync(join(tmpdir(), "placewright-rules-"));
    try {
      // What these rules find is not valid.
      const checked = rules.filter(({ id }) => id !== "duplicate-id" && id !== "element-out-of-order");
      const files = checked.flatMap((rule) => {
        const analysis = analyse(tinyScore(rule.bad).text, rule.given);
        const own = analysis.findings.filter((finding) => finding.rule === rule.id);
        const texts = own.flatMap(({ fixes }) => fixes.map((fix) => applyEdits(analysis.text, fix.edits())));
        return [analysis.text, ...texts].map((text, i) => {
          const file = join(made, `${rule.id}-${i}.musicxml`);
          writeFileSync(file, text);
          return file;
        });
      });
      expect(files.length).toBeGreaterThan(checked.length + 10);
      writeFileSync(join(made, "catalog.xml"), catalogue());
      const { status, stderr } = spawnSync("xmllint", ["--nonet", "--noout", "--schema", schema, ...files], {
        encoding: "utf8",
        env: { ...process.env, XML_CATALOG_FILES: join(made, "catalog.xml") },
      });
      expect(stderr.split("\n").filter((line) => line !== "" && !line.endsWith(" validates"))).toEqual([]);
      expect(status).toBe(0);
    } finally {
      rmSync(made, { recursive: true, force: true });
    }
  },
);

/** Local copies of the two schemas that the MusicXML schema imports from the web. */
function catalogue(): string {
  const uris = ["xml", "xlink"].map(
    (name) =>
      `<uri name="http://www.musicxml.org/xsd/${name}.xsd" uri="${pathToFileURL(join(standards, `${name}.xsd`)).href}"/>`,
  );
  return `<?xml version="1.0"?>\n<catalog xmlns="urn:oasis:names:tc:entity:xmlns:xml:catalog">${uris.join("")}</catalog>\n`;
}

function byId(a: Rule, b: Rule): number {
  return a.id < b.id ? -1 : 1;
}
