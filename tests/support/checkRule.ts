/** Holds a rule to what its example says, and its fixes to what all fixes promise. */
import { expect } from "vitest";
import { guardedText } from "../../shared/musicxml/guard.ts";
import type { Finding, Fix, Rule, RuleInput } from "../../shared/rules/define.ts";
import { runRules } from "../../shared/rules/runRules.ts";
import { readScore } from "../../shared/score/readScore.ts";
import { type Analysis, analyse, type Settings } from "../../shared/service/analyse.ts";
import { applyEdits, type Edit, inOrder } from "../../shared/text/edits.ts";
import { LineIndex } from "../../shared/text/lineIndex.ts";
import type { Span } from "../../shared/text/span.ts";
import { picture } from "./picture.ts";
import { tinyScore } from "./tinyScore.ts";
import { treeOutsideFingering } from "./treeOutsideFingering.ts";

export interface CheckOptions {
  /** The score after one fix of the first finding, in the short notation. */
  readonly fixed?: string;
  /** Which fix: its title, or its index among the finding's fixes. Without it the first. */
  readonly fix?: string | number;
  /** How many fixes the first finding has. */
  readonly fixes?: number;
  /** What every finding's severity is; the rule's own without it. */
  readonly severity?: Finding["severity"];
  /** What the first finding says, or a part of it. */
  readonly message?: string;
  readonly settings?: Settings;
}

/**
 * Checks what a rule finds in a score, and every fix of every finding.
 *
 * @param score in the short notation of tinyScore.ts with `[ ]` where findings are expected, or a whole MusicXML text
 *              with `<!-- expect rule-id -->` on the lines where they are.
 */
export function checkRule(rule: Rule, score: string, options: CheckOptions = {}): void {
  const { text, marks } = /^\s*<(\?xml|score-)/.test(score)
    ? { text: score, marks: undefined }
    : tinyScore(score);
  const analysis = analyse(text, options.settings);
  expect(analysis.problems, `${score}: it reads without problems`).toEqual([]);
  const found = findingsOf(analysis, rule);
  if (marks)
    expect(shown(text, found), `${score}: what is found`).toEqual(marks.map((mark) => at(text, mark)));
  else expect(linesOf(text, found), "lines with findings").toEqual(expectedLines(text, rule.id));
  for (const finding of found) {
    expect(finding.severity, finding.message).toBe(options.severity ?? rule.severity);
    for (const fix of finding.fixes) checkFix(analysis, rule, finding, fix, options.settings);
  }
  const [first] = found;
  if (options.message !== undefined) expect(first?.message).toContain(options.message);
  if (options.fixes !== undefined) expect(first?.fixes, "its fixes").toHaveLength(options.fixes);
  if (options.fixed !== undefined) {
    const fix = chosenFix(first, options.fix ?? 0);
    const result = applyEdits(text, fix.edits());
    expect(picture(result), `${score}: ${fix.title}`).toBe(picture(tinyScore(options.fixed).text));
  }
}

/** What every fix promises, whatever the rule. */
export function checkFix(
  analysis: Analysis,
  rule: Rule,
  finding: Finding,
  fix: Fix,
  settings: Settings = {},
): void {
  const about = `${finding.message} ${fix.title}`;
  const { text } = analysis;
  expect(
    rule.fixes.map(({ title, safety }) => `${title}, ${safety}`),
    `${about}: the rule names its fixes`,
  ).toContain(`${fix.title}, ${fix.safety}`);
  const edits = fix.edits();
  expect(edits, `${about}: it changes something`).not.toEqual([]);
  expect(fix.edits(), `${about}: asked twice it answers alike`).toEqual(edits);
  const result = applyEdits(text, edits);
  expect(untouched(text, result, edits), `${about}: all outside the edits stays`).toBe(true);
  if (fix.permission)
    expect(guardedText(text, edits, fix.permission), `${about}: the music stays`).toBe(result);
  else expect(treeOutsideFingering(result), `${about}: the music stays`).toEqual(treeOutsideFingering(text));
  const read = readScore(result);
  expect(read.score.wellFormed, `${about}: the result is well-formed`).toBe(true);
  const after = analyse(result, settings);
  expect(after.problems.map(({ message }) => message)).toEqual(
    analysis.problems.map(({ message }) => message),
  );
  const key = keyOf(finding);
  const same = findingsOf(after, rule).find((other) => keyOf(other) === key);
  expect(same?.message, `${about}: its finding is gone`).toBeUndefined();
  const known = new Set([...analysis.findings, ...findingsOf(analysis, rule)].map(placeKeyOf));
  const fresh = [...after.findings, ...findingsOf(after, rule)].filter(
    (other) => other.severity !== "info" && !known.has(placeKeyOf(other)),
  );
  expect(
    fresh.map(({ rule, message }) => `${rule}: ${message}`),
    `${about}: nothing new is found`,
  ).toEqual([]);
  expect(withFixesApplied(after, rule, settings), `${about}: in the end nothing is left to fix`).toBe(true);
}

/** The findings of one rule, whether it is in the registry or not. */
export function findingsOf(analysis: Analysis, rule: Rule): Finding[] {
  return runRules(inputOf(analysis), [rule]);
}

/** @throws when the score has no harp. */
export function inputOf(analysis: Analysis): RuleInput {
  const { harp } = analysis;
  if (!harp) throw new Error("the score has no harp");
  const { tempo, print } = analysis.settings;
  return { ...analysis, harp, tempo, printedAmount: print?.fingers };
}

/** Takes the first fix again and again: true when that ends, so that no fix undoes another. */
function withFixesApplied(start: Analysis, rule: Rule, settings: Settings): boolean {
  let analysis = start;
  const most = findingsOf(start, rule).length + 1;
  for (let round = 0; round <= most; round += 1) {
    const fix = findingsOf(analysis, rule).find(({ fixes }) => fixes.length > 0)?.fixes[0];
    if (!fix) return true;
    const edits = fix.edits();
    if (edits.length === 0) return false;
    analysis = analyse(applyEdits(analysis.text, edits), settings);
  }
  return false;
}

/** Walks both texts side by side: what lies between the edits must be the same in both. */
function untouched(before: string, after: string, edits: readonly Edit[]): boolean {
  let from = 0;
  let shift = 0;
  for (const { span, text } of inOrder(edits)) {
    if (before.slice(from, span.start) !== after.slice(from + shift, span.start + shift)) return false;
    shift += text.length - (span.end - span.start);
    from = span.end;
  }
  return before.slice(from) === after.slice(from + shift);
}

/** A rule that says something else of the same place says nothing new. */
function placeKeyOf({ rule, hand, bar, beat }: Finding): string {
  return JSON.stringify([rule, hand, bar, beat]);
}

function keyOf({ rule, message, hand, bar, beat }: Finding): string {
  return JSON.stringify([rule, message, hand, bar, beat]);
}

function chosenFix(finding: Finding | undefined, which: string | number): Fix {
  const fix =
    typeof which === "number" ? finding?.fixes[which] : finding?.fixes.find(({ title }) => title === which);
  if (!fix) throw new Error(`no fix ${JSON.stringify(which)} among ${JSON.stringify(finding?.fixes ?? [])}`);
  return fix;
}

function shown(text: string, findings: readonly Finding[]): string[] {
  return findings.map(({ span }) => at(text, span));
}

/** A place and what stands there, so that a difference can be read. */
function at(text: string, span: Span): string {
  const { line } = new LineIndex(text).place(span.start);
  return `line ${line}: ${text.slice(span.start, span.end)}`;
}

function linesOf(text: string, findings: readonly Finding[]): number[] {
  const lines = new LineIndex(text);
  return findings.map(({ span }) => lines.place(span.start).line);
}

function expectedLines(text: string, id: string): number[] {
  return text
    .split(/\r\n|\n|\r/)
    .flatMap((line, i) => (line.includes(`<!-- expect ${id} -->`) ? [i + 1] : []));
}
