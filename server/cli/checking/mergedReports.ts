import { InputError } from "../../../shared/text/problem.ts";
import type { CheckedFile, CheckedProblem } from "../formats/checked.ts";
import type { ReadReport, ReportEntry } from "./readReport.ts";
import { readShard } from "./shards.ts";

/** A file of a merged report, and as it stands in JSON. */
export interface MergedFile {
  readonly file: CheckedFile;
  readonly entry: ReportEntry;
}

/** A report and the file that it was read from. */
export type NamedReport = ReadReport & { readonly path: string };

/**
 * The files of several reports in the order in which one call would have told them.
 * @throws InputError when some are shards and not all of them are there, each once.
 */
export function mergedReports(reports: readonly NamedReport[]): MergedFile[] {
  const shards = reports.filter(({ shard }) => shard !== undefined);
  if (shards.length === 0) {
    return reports.flatMap(({ files, entries }) => files.map((file, i) => ({ file, entry: entries[i]! })));
  }
  checkShards(reports);
  const numbered: { at: number; file: CheckedFile; entry: ReportEntry }[] = [];
  const beside = new Map<string, MergedFile>();
  for (const { files, entries } of reports) {
    files.forEach((file, i) => {
      const { at, ...entry } = entries[i]!;
      if (typeof at === "number") numbered.push({ at, file, entry });
      else beside.set(file.path, together(beside.get(file.path), { file, entry }));
    });
  }
  numbered.sort((a, b) => a.at - b.at);
  const last = [...beside.values()].sort((a, b) => (a.file.path < b.file.path ? -1 : 1));
  return [...numbered.map(({ file, entry }) => ({ file, entry })), ...last];
}

function checkShards(reports: readonly NamedReport[]): void {
  const known = new Map<number, string>();
  const all = new Set<number>();
  for (const { path, shard } of reports) {
    if (shard === undefined) {
      throw new InputError(`${path} is a report of its own, and no shard as the others. Merge it apart.`);
    }
    const { index, of } = readShard(shard);
    const other = known.get(index);
    if (other !== undefined)
      throw new InputError(`${other} and ${path} are both shard ${shard}. Leave one out.`);
    known.set(index, path);
    all.add(of);
  }
  const [of, ...others] = all;
  if (others.length > 0) {
    throw new InputError(
      `The reports are shards of ${[...all].join(" and of ")}: they do not belong together.`,
    );
  }
  const missing = Array.from({ length: of! }, (_, i) => i + 1).filter((index) => !known.has(index));
  if (missing.length > 0) {
    throw new InputError(
      `Shard ${missing.map((index) => `${index}/${of}`).join(", ")} is not among the reports.`,
    );
  }
}

/** A settings file that several shards have met: each says what its own scores show. */
function together(one: MergedFile | undefined, other: MergedFile): MergedFile {
  if (!one) return other;
  const raw = [...problemsOf(one), ...problemsOf(other)];
  const problems = [...new Map(raw.map((problem) => [JSON.stringify(problem), problem])).values()].sort(
    ({ range: a }, { range: b }) => a.start.line - b.start.line || a.start.column - b.start.column,
  );
  return { file: { ...one.file, problems }, entry: { ...one.entry, problems } };
}

function problemsOf({ entry }: MergedFile): readonly CheckedProblem[] {
  return entry.problems as readonly CheckedProblem[];
}
