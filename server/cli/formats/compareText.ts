import type { EditionComparison } from "../../../shared/editions/model.ts";
import {
  isFingeringChange,
  renumberedWords,
  type ToldChange,
  toldChanges,
} from "../../../shared/service/editionWords.ts";

/** A line for each change: fingering first, then, apart, the notes, then bars with other numbers. */
export function compareText(comparison: EditionComparison): string {
  const line = ({ where, what }: ToldChange): string => `${where}: ${what}`;
  return sections(comparison)
    .map(({ heading, changes, remarks }) =>
      [heading, ...changes.map(line), ...remarks]
        .map((each, i) => `${i === 0 ? "" : "  "}${each}\n`)
        .join(""),
    )
    .join("\n");
}

/** The same as a page in Markdown. */
export function compareMarkdown(
  { old, new: now }: { readonly old: string; readonly new: string },
  comparison: EditionComparison,
): string {
  const item = ({ where, what }: ToldChange): string => `- **${escaped(where)}:** ${escaped(what)}`;
  const parts = sections(comparison).map(({ heading, changes, remarks }) =>
    [
      `## ${heading}`,
      "",
      ...changes.map(item),
      ...remarks.map((remark) =>
        changes.length > 0 || remarks.length > 1 ? `- ${escaped(remark)}` : escaped(remark),
      ),
      "",
    ].join("\n"),
  );
  return [`# Changes from ${escaped(old)} to ${escaped(now)}`, "", ...parts].join("\n");
}

interface Section {
  readonly heading: string;
  readonly changes: readonly ToldChange[];
  readonly remarks: readonly string[];
}

function sections(comparison: EditionComparison): Section[] {
  const told = toldChanges(comparison);
  const fingering = told.filter(({ change }) => isFingeringChange(change));
  const notes = told.filter(({ change }) => !isFingeringChange(change));
  const numbers = renumberedWords(comparison);
  const section = (
    heading: string,
    changes: readonly ToldChange[],
    remarks: readonly string[] = [],
  ): Section => ({
    heading,
    changes,
    remarks,
  });
  return [
    section("Fingering", fingering, fingering.length === 0 ? ["nothing changed"] : []),
    ...(notes.length > 0 ? [section("Notes", notes)] : []),
    ...(numbers.length > 0 ? [section("Bar numbers", [], numbers)] : []),
  ];
}

/** What Markdown would take for a sign of its own. */
function escaped(text: string): string {
  return text.replace(/[\\`*_[\]<>#|]/g, "\\$&");
}
