import type { CheckedFile } from "./checked.ts";

/** The findings of all files as one JSON document, version 1. Lines and columns count from 1. */
export function checkJson(files: readonly CheckedFile[]): string {
  const document = {
    version: 1,
    files: files.map(({ path, problems, findings, accepted }) => ({
      path,
      problems: problems.map(({ severity, message, range }) => ({ severity, message, range })),
      findings: findings.map((finding) => ({
        rule: finding.rule,
        severity: finding.severity,
        message: finding.message,
        part: finding.part ?? null,
        hand: finding.hand ?? null,
        bar: finding.bar ?? null,
        beat: finding.beat ?? null,
        range: finding.range,
        related: finding.related.map(({ message, range }) => ({ message, range })),
        fixes: finding.fixes.map(({ title, safety }) => ({ title, safety })),
      })),
      accepted: accepted ?? 0,
    })),
  };
  return `${JSON.stringify(document, null, 2)}\n`;
}
