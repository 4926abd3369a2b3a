import type { Finding } from "../rules/define.ts";
import type { Edit } from "../text/edits.ts";
import { addedEntries } from "./acceptedFile.ts";
import { entryFor } from "./acceptFindings.ts";
import type { Analysis } from "./analyse.ts";

/**
 * The edits that accept findings, to the file of accepted findings.
 *
 * @param file the score as the file names it, and the file's text; undefined when there is no such file.
 * @throws InputError when the file cannot be added to.
 */
export function acceptanceEdits(
  analysis: Analysis,
  findings: readonly Finding[],
  file: { readonly score: string; readonly text: string | undefined },
  reason: string,
): Edit[] {
  const all = [...analysis.findings, ...analysis.accepted.map(({ finding }) => finding)];
  const entries = findings.map((finding) => {
    const { rule, ...entry } = entryFor(analysis, all, finding, reason);
    return { rule, score: file.score, ...entry };
  });
  return addedEntries(file.text ?? "", entries);
}
