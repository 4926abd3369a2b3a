import type { Severity } from "../../../shared/rules/define.ts";
import { shortened } from "../settingsOf.ts";
import type { CheckedFile, PlacedRange } from "./checked.ts";

const levels: Readonly<Record<Severity, string>> = { error: "error", warning: "warning", info: "notice" };

/**
 * A workflow command for each problem and finding, from which GitHub makes annotations.
 * Source: GitHub Docs, "Workflow commands for GitHub Actions"; what has to be escaped, from memory: `escapeData` and
 * `escapeProperty` of `@actions/core`, which reads it back so.
 */
export function checkGithub({ path, problems, findings }: CheckedFile): string {
  const line = (severity: Severity, title: string, message: string, range: PlacedRange): string => {
    const properties = {
      file: shortened(path).replaceAll("\\", "/"),
      ...placeProperties(range),
      title,
    };
    const listed = Object.entries(properties).map(([name, value]) => `${name}=${escapedProperty(value)}`);
    return `::${levels[severity]} ${listed.join(",")}::${escapedData(message)}\n`;
  };
  return [
    ...problems.map(({ severity, message, range, about }) =>
      line(severity, about ?? "reading", message, range),
    ),
    ...findings.map(({ severity, rule, message, range }) => line(severity, rule, message, range)),
  ].join("");
}

/** Columns may only be told of a place on one line; the last one belongs to the place there. */
function placeProperties({ start, end }: PlacedRange): Readonly<Record<string, string>> {
  if (end.line !== start.line) return { line: String(start.line), endLine: String(end.line) };
  return {
    line: String(start.line),
    endLine: String(end.line),
    col: String(start.column),
    endColumn: String(Math.max(start.column, end.column - 1)),
  };
}

function escapedData(text: string): string {
  return text.replaceAll("%", "%25").replaceAll("\r", "%0D").replaceAll("\n", "%0A");
}

function escapedProperty(text: string): string {
  return escapedData(text).replaceAll(":", "%3A").replaceAll(",", "%2C");
}
