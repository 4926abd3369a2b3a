import type { Finding, Severity } from "../../../shared/rules/define.ts";
import type { LevelFacts } from "../../../shared/service/level.ts";
import type { Place } from "../../../shared/text/lineIndex.ts";
import type { Problem } from "../../../shared/text/problem.ts";

/** Two places in a file; lines and columns from 1, `end` exclusive. */
export interface PlacedRange {
  readonly start: Place;
  readonly end: Place;
}

/** What was found in one file. */
export interface CheckedFile {
  readonly path: string;
  /** What could not be read as it should be. */
  readonly problems: readonly (Pick<Problem, "severity" | "message"> & {
    readonly range: PlacedRange;
    /** Stands where findings have their rule; `reading` without it. */
    readonly about?: string;
  })[];
  readonly findings: readonly (Omit<Finding, "span" | "related"> & {
    readonly range: PlacedRange;
    readonly related: readonly { readonly message: string; readonly range: PlacedRange }[];
  })[];
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
