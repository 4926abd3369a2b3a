import type { CheckedFile, PlacedRange } from "./checked.ts";

/**
 * One line for each problem and finding: `path:line:column: severity rule-id: message`. What could not be read has
 * `reading` in the place of a rule.
 */
export function checkText({ path, problems, findings }: CheckedFile): string {
  const line = (range: PlacedRange, severity: string, rule: string, message: string): string =>
    `${path}:${range.start.line}:${range.start.column}: ${severity} ${rule}: ${message}\n`;
  return [
    ...problems.map(({ range, severity, message, about }) =>
      line(range, severity, about ?? "reading", message),
    ),
    ...findings.map(({ range, severity, rule, message }) => line(range, severity, rule, message)),
  ].join("");
}
