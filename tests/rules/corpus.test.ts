import { existsSync, readdirSync, readFileSync } from "node:fs";
import { join, relative } from "node:path";
import { fileURLToPath } from "node:url";
import { describe, expect, test } from "vitest";
import { readScore } from "../../shared/score/readScore.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { applyEdits } from "../../shared/text/edits.ts";

const corpus = fileURLToPath(new URL("../../../shared/corpus", import.meta.url));

const files = existsSync(corpus)
  ? readdirSync(corpus, { recursive: true, encoding: "utf8" })
      .filter((name) => /\.(xml|musicxml)$/.test(name))
      .map((name) => join(corpus, name))
      .sort()
  : [];

/** The text of a file in plain UTF-8; undefined for another encoding. */
function textOf(file: string): string | undefined {
  try {
    return new TextDecoder("utf-8", { fatal: true, ignoreBOM: true }).decode(readFileSync(file));
  } catch {
    return undefined;
  }
}

// Reading each result again is what takes time, so in a text this long only some fixes are tried.
const shortText = 300_000;
const mostFixes = 40;

describe.skipIf(files.length === 0)("scores from many hands (skipped without ../shared/corpus)", () => {
  test("rules run on all of them, findings lie in the text, and fixes leave it well-formed", () => {
    let findings = 0;
    let fixes = 0;
    for (const file of files) {
      const text = textOf(file);
      if (text === undefined) continue;
      const name = relative(corpus, file);
      const analysis = analyse(text);
      const tried = text.length < shortText ? Number.POSITIVE_INFINITY : mostFixes;
      let own = 0;
      for (const finding of analysis.findings) {
        const about = `${name}: ${finding.message}`;
        findings += 1;
        for (const { span } of [finding, ...finding.related]) {
          expect(span.start, about).toBeGreaterThanOrEqual(0);
          expect(span.end, about).toBeGreaterThan(span.start);
          expect(span.end, about).toBeLessThanOrEqual(text.length);
        }
        if (finding.rule !== "element-out-of-order") {
          expect(text.slice(finding.span.start, finding.span.end), about).toMatch(
            /^<(fingering|bracket|note|words|text|score-instrument|harp-pedals)\b/,
          );
        }
        for (const fix of finding.fixes) {
          own += 1;
          if (own > tried) break;
          fixes += 1;
          const edits = fix.edits();
          expect(edits, `${about} ${fix.title}`).not.toEqual([]);
          const { score, problems } = readScore(applyEdits(text, edits));
          expect(score.wellFormed, `${about} ${fix.title}`).toBe(true);
          expect(problems.length, `${about} ${fix.title}`).toBe(analysis.problems.length);
        }
      }
    }
    expect(findings).toBeGreaterThan(50);
    expect(fixes).toBeGreaterThan(50);
  }, 120_000);
});
