import { existsSync } from "node:fs";
import { dirname, join } from "node:path";
import type { ReadEntry } from "../../shared/service/acceptedFile.ts";
import type { Analysis } from "../../shared/service/analyse.ts";
import { missingScore, unmatchedEntry } from "../../shared/service/staleEntries.ts";
import { LineIndex } from "../../shared/text/lineIndex.ts";
import type { Problem } from "../../shared/text/problem.ts";
import type { AcceptedPlace } from "../files/settingsFiles.ts";
import type { CheckedFile } from "./formats/checked.ts";
import { shortened } from "./settingsOf.ts";

/** Gathers entries in files of accepted findings that nothing fits any more. */
export class EntryCheck {
  readonly #files = new Map<string, { readonly place: AcceptedPlace; readonly unmatched: ReadEntry[] }>();

  /** A score was checked. One that could not be read whole says nothing about its entries. */
  take(place: AcceptedPlace | undefined, { problems, harp, unmatched }: Analysis): void {
    if (place?.text === undefined) return;
    const known = this.#files.get(place.path) ?? { place, unmatched: [] };
    this.#files.set(place.path, known);
    if (harp && problems.every(({ severity }) => severity !== "error")) known.unmatched.push(...unmatched);
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
