import { existsSync } from "node:fs";
import { dirname, join } from "node:path";
import type { ReadEntry } from "../../shared/service/acceptedFile.ts";
import { missingScore, unmatchedEntry } from "../../shared/service/staleEntries.ts";
import { LineIndex } from "../../shared/text/lineIndex.ts";
import type { Problem } from "../../shared/text/problem.ts";
import type { AcceptedPlace } from "../files/settingsFiles.ts";
import type { CheckedFile } from "./formats/checked.ts";
import { shortened } from "./settingsOf.ts";

/** Gathers entries in files of accepted findings that nothing fits any more. */
export class EntryCheck {
  readonly #files = new Map<string, { readonly place: AcceptedPlace; readonly unmatched: ReadEntry[] }>();

  /**
   * A score was checked.
   * @param unmatched of its entries; undefined for a score that could not be read whole: it says nothing about them.
   */
  take(place: AcceptedPlace | undefined, unmatched: readonly ReadEntry[] | undefined): void {
    if (place?.text === undefined) return;
    const known = this.#files.get(place.path) ?? { place, unmatched: [] };
    this.#files.set(place.path, known);
    known.unmatched.push(...(unmatched ?? []));
  }

  /** The files that hold such entries. */
  get files(): CheckedFile[] {
    return [...this.#files.values()].flatMap(({ place, unmatched }) => {
      const { path, text, entries } = place;
      const gone = entries.filter(({ score }) => !existsSync(join(dirname(path), score)));
      const problems = [...unmatched.map(unmatchedEntry), ...gone.map(missingScore)];
      return problems.length > 0 ? [checkedFile(shortened(path), text ?? "", problems)] : [];
    });
  }
}

function checkedFile(path: string, text: string, problems: readonly Problem[]): CheckedFile {
  const lines = new LineIndex(text);
  return {
    path,
    problems: [...problems]
      .sort((a, b) => a.span.start - b.span.start)
      .map(({ severity, message, span }) => ({
        severity,
        message,
        about: "accepted",
        range: { start: lines.place(span.start), end: lines.place(span.end) },
      })),
    findings: [],
    assumptions: [],
    noteCount: 0,
  };
}
