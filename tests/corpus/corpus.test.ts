import { afterAll, describe, expect, test } from "vitest";
import { corpusFiles, hasCorpus, noCorpus } from "../support/corpus.ts";
import { type TriedOut, tryOut } from "../support/tryOut.ts";

const files = corpusFiles();
const outcomes = new Map<string, TriedOut>();

/** Files that are not read, and why. */
const refused: Readonly<Record<string, RegExp>> = {
  // Text stands before the XML declaration.
  "mx/ly33d_Spanners_OctaveShifts.xml": /Not well-formed XML: text data outside of root node/,
};

/** Files that libxml2 itself refuses: it believes a declaration that the bytes contradict. */
const unreadableForLibxml2 = ["libmusicxml/UTFEncodedInput.xml"];

describe.skipIf(!hasCorpus)(
  `real scores (${hasCorpus ? files.length : noCorpus})`,
  { timeout: 600_000 },
  () => {
    test.each(files.map((file) => [file.path, file] as const))("%s", (path, file) => {
      const outcome = tryOut(file.bytes());
      outcomes.set(path, outcome);
      if (refused[path]) expect(outcome.refused).toMatch(refused[path]);
      else expect(outcome.refused).toBeUndefined();
      if (outcome.edits > 0) {
        expect(outcome.libxml2).toBe(unreadableForLibxml2.includes(path) ? "unreadable" : "equal");
      }
      if (outcome.validBefore) expect(outcome.invalid).toBeUndefined();
    });

    afterAll(() => {
      process.stdout.write(`${table()}\n`);
    });
  },
);

/** One row a source. */
function table(): string {
  const rows = [
    ["source", "files", "read", "written into", "edits", "equal for libxml2", "valid before", "valid after"],
  ];
  for (const source of new Set(files.map((file) => file.source))) {
    const own = files
      .filter((file) => file.source === source)
      .flatMap(({ path }) => outcomes.get(path) ?? []);
    const count = (test: (outcome: TriedOut) => boolean | undefined) => String(own.filter(test).length);
    rows.push([
      source,
      String(own.length),
      count(({ refused: why }) => why === undefined),
      count(({ edits }) => edits > 0),
      String(own.reduce((sum, { edits }) => sum + edits, 0)),
      count(({ libxml2 }) => libxml2 === "equal"),
      count(({ validBefore }) => validBefore),
      count(({ validAfter }) => validAfter),
    ]);
  }
  const widths = rows[0]!.map((_, column) => Math.max(...rows.map((row) => row[column]!.length)));
  return rows
    .map((row) =>
      row
        .map((cell, i) => cell.padEnd(widths[i]!))
        .join("  ")
        .trimEnd(),
    )
    .join("\n");
}
