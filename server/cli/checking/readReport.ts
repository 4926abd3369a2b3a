import { InputError } from "../../../shared/text/problem.ts";
import type { CheckedFile } from "../formats/checked.ts";

/** A JSON report as read. */
export interface ReadReport {
  /** `2/5` when it is one of several. */
  readonly shard: string | undefined;
  readonly files: readonly CheckedFile[];
  /** entries[i]: files[i] as it stands there. */
  readonly entries: readonly ReportEntry[];
}

/** A file in a report, with its number among the files of all shards. */
export type ReportEntry = Readonly<Record<string, unknown>> & { readonly at?: number | null };

/**
 * Reads a JSON report, or a baseline, which is one with less in it.
 * @param path as messages show it.
 * @throws InputError when it is neither.
 */
export function readReport(path: string, text: string): ReadReport {
  let report: unknown;
  try {
    report = JSON.parse(text.replace(/^\uFEFF/, ""));
  } catch (error) {
    throw new InputError(`${path} is no JSON: ${(error as Error).message}. ${whatItShouldBe}`);
  }
  if (!isRecord(report) || !Array.isArray(report.files)) {
    throw new InputError(`${path} is no report. ${whatItShouldBe}`);
  }
  if (report.version !== 1) {
    throw new InputError(
      `${path} is of version ${JSON.stringify(report.version)}; this program reads version 1. Make it anew.`,
    );
  }
  const entries = report.files.map((entry, i): ReportEntry => {
    if (isRecord(entry) && typeof entry.path === "string") {
      const { problems = [], findings = [] } = entry;
      const isList = (list: unknown): boolean => Array.isArray(list) && list.every(isSaying);
      if (isList(problems) && isList(findings)) return entry as ReportEntry;
    }
    throw new InputError(`${path}: file ${i + 1} is not as a report has it. ${whatItShouldBe}`);
  });
  return {
    shard: typeof report.shard === "string" ? report.shard : undefined,
    entries,
    files: entries.map(fileOf),
  };
}

const whatItShouldBe =
  "Make one with placewright check PATH --format json, or placewright check PATH --write-baseline FILE.";

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

function isSaying(value: unknown): boolean {
  return isRecord(value) && typeof value.message === "string" && typeof value.severity === "string";
}

/** JSON says null where the program says nothing. The facts of a level stay behind: they are told as JSON only. */
function fileOf(entry: ReportEntry): CheckedFile {
  const { path, problems, findings, accepted, assumptions, notes } = JSON.parse(
    JSON.stringify(entry, (_, value) => (value === null ? undefined : value)),
  ) as Partial<CheckedFile> & { readonly notes?: number };
  return {
    path: path!,
    problems: problems ?? [],
    findings: findings ?? [],
    accepted,
    assumptions: assumptions ?? [],
    noteCount: notes ?? 0,
  };
}
