import type { Finding, FixKind, Severity } from "../../../shared/rules/define.ts";
import type { LevelFacts } from "../../../shared/service/level.ts";
import type { Place } from "../../../shared/text/lineIndex.ts";
import type { Problem } from "../../../shared/text/problem.ts";

/** Two places in a file; lines and columns from 1, `end` exclusive. */
export interface PlacedRange {
  readonly start: Place;
  readonly end: Place;
}

/** What could not be read as it should be. */
export type CheckedProblem = Pick<Problem, "severity" | "message"> & {
  readonly range: PlacedRange;
  /** Stands where findings have their rule; `reading` without it. */
  readonly about?: string;
};

/** What a rule found, as plain data. */
export type CheckedFinding = Omit<Finding, "span" | "related" | "fixes" | "places"> & {
  readonly range: PlacedRange;
  readonly related: readonly { readonly message: string; readonly range: PlacedRange }[];
  readonly fixes: readonly FixKind[];
  /** Tells the music and the print there from others, wherever it stands in the file: see `placeSignature`. */
  readonly place: string;
};

/** What was found in one file. Plain data: it goes between threads and into files. */
export interface CheckedFile {
  readonly path: string;
  readonly problems: readonly CheckedProblem[];
  readonly findings: readonly CheckedFinding[];
  /** How many findings were accepted, and are left out; none without it. */
  readonly accepted?: number;
  /** Of a score that has a harp, where it was asked for. */
  readonly level?: LevelFacts;
  /** What was taken for granted, in sentences. */
  readonly assumptions: readonly string[];
  /** Notes that the harp plucks. */
  readonly noteCount: number;
}

/** From the gravest. */
export const severities: readonly Severity[] = ["error", "warning", "info"];

/** True when a severity is at or above the least one asked for. */
export function reaches(severity: Severity, least: Severity): boolean {
  return severities.indexOf(severity) <= severities.indexOf(least);
}

/** A file with the findings and problems of these severities only. */
export function atOrAbove(file: CheckedFile, least: Severity): CheckedFile {
  return {
    ...file,
    problems: file.problems.filter(({ severity }) => reaches(severity, least)),
    findings: file.findings.filter(({ severity }) => reaches(severity, least)),
  };
}

/** A file that could not be read at all. */
export function unreadable(path: string, message: string): CheckedFile {
  const start = { line: 1, column: 1 };
  const problem: CheckedProblem = { severity: "error", message, range: { start, end: start } };
  return { path, problems: [problem], findings: [], assumptions: [], noteCount: 0 };
}
