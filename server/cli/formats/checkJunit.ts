import type { CheckedFile, PlacedRange } from "./checked.ts";
import type { CheckReport } from "./checkReport.ts";

/**
 * A report as job runners show those of tests: a suite for each file, a case that failed for each finding, a case that
 * could not be run for each problem, and one that passed for a file where nothing was found.
 * There is no standard; the elements and attributes are those that JUnit's own XML writer began with, from memory.
 */
export class JunitReport implements CheckReport {
  begin(): string {
    return '<?xml version="1.0" encoding="UTF-8"?>\n<testsuites name="placewright">\n';
  }

  file({ path, problems, findings }: CheckedFile): string {
    const suite = path.replaceAll("\\", "/");
    const place = ({ start }: PlacedRange): string => `${suite}:${start.line}:${start.column}`;
    const cases = [
      ...problems.map(({ severity, message, range, about }) =>
        failed("error", suite, about ?? "reading", place(range), severity, message),
      ),
      ...findings.map(({ rule, severity, message, range, bar }) =>
        failed(
          "failure",
          suite,
          bar === undefined ? rule : `${rule}, bar ${bar}`,
          place(range),
          severity,
          message,
        ),
      ),
    ];
    if (cases.length === 0) cases.push(`    <testcase classname="${escaped(suite)}" name="check"/>\n`);
    const counts = `tests="${cases.length}" failures="${findings.length}" errors="${problems.length}" skipped="0"`;
    return `  <testsuite name="${escaped(suite)}" ${counts}>\n${cases.join("")}  </testsuite>\n`;
  }

  end(): string {
    return "</testsuites>\n";
  }
}

function failed(
  element: "failure" | "error",
  suite: string,
  name: string,
  place: string,
  type: string,
  message: string,
): string {
  return [
    `    <testcase classname="${escaped(suite)}" name="${escaped(name)}">\n`,
    `      <${element} message="${escaped(message)}" type="${type}">${escaped(`${place}: ${message}`)}</${element}>\n`,
    "    </testcase>\n",
  ].join("");
}

/** What XML 1.0 has no way to write, even escaped, becomes a replacement character. */
const unwritable =
  // biome-ignore lint/suspicious/noControlCharactersInRegex: these are the ones that XML forbids
  /[\u0000-\u0008\u000b\u000c\u000e-\u001f\ufffe\uffff]|[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/g;

function escaped(text: string): string {
  return text
    .replace(unwritable, "\ufffd")
    .replaceAll("&", "&amp;")
    .replaceAll("<", "&lt;")
    .replaceAll(">", "&gt;")
    .replaceAll('"', "&quot;")
    .replace(/[\t\n\r]/g, (blank) => `&#${blank.charCodeAt(0)};`);
}
