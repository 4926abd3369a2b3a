import type { Finding, Fix } from "../rules/define.ts";
import { type Span, touches } from "../text/span.ts";
import type { Analysis } from "./analyse.ts";

/** A fix and where it is kept in the analysis, so that it can be asked for again later. */
export interface OfferedFix {
  readonly finding: Finding;
  readonly fix: Fix;
  /** Index in `analysis.findings`. */
  readonly findingIndex: number;
  /** Index in `finding.fixes`. */
  readonly fixIndex: number;
}

/** The findings at a place, by their indices in `analysis.findings`. */
export function findingsAt(analysis: Analysis, place: Span): number[] {
  return analysis.findings.flatMap(({ span }, i) => (touches(span, place) ? [i] : []));
}

/** The fixes of all findings at a place, in the order of the findings. */
export function fixesAt(analysis: Analysis, place: Span): OfferedFix[] {
  return analysis.findings.flatMap((finding, findingIndex) =>
    touches(finding.span, place)
      ? finding.fixes.map((fix, fixIndex) => ({ finding, fix, findingIndex, fixIndex }))
      : [],
  );
}
