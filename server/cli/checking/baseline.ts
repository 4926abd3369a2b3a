import { readFile } from "node:fs/promises";
import { dirname, relative, resolve, sep } from "node:path";
import { InputError } from "../../../shared/text/problem.ts";
import { fileTrouble } from "../../files/fileTrouble.ts";
import type { CheckedFile, CheckedFinding, CheckedProblem } from "../formats/checked.ts";
import { readReport } from "./readReport.ts";

/** What is known of a finding, however the file around it changes. */
type KnownFinding = Pick<CheckedFinding, "rule" | "hand" | "bar" | "place" | "message">;

interface KnownFile {
  readonly problems: readonly Pick<CheckedProblem, "message">[];
  readonly findings: readonly KnownFinding[];
}

/**
 * Findings that are known and not told again. A finding is known when one of the same rule and hand was found at the
 * same music in the same print, in whatever bar; or when the same was said of the same bar, for a neighbouring finger
 * that was mended makes no old finding new. As many as were known are left out, and no more.
 */
export class Baseline {
  readonly #files: ReadonlyMap<string, KnownFile>;
  readonly #folder: string;

  private constructor(files: ReadonlyMap<string, KnownFile>, folder: string) {
    this.#files = files;
    this.#folder = folder;
  }

  /**
   * @param path of what `--write-baseline` wrote, or of a JSON report.
   * @throws InputError when it is neither.
   */
  static async read(path: string): Promise<Baseline> {
    const text = await readFile(path, "utf8").catch((error) => {
      throw new InputError(fileTrouble(error, path));
    });
    const { files } = readReport(path, text);
    return new Baseline(new Map(files.map((file) => [file.path, file])), dirname(resolve(path)));
  }

  /** The file with what is new. What could not be read is never known: it is told until it is mended. */
  onlyNew(file: CheckedFile): CheckedFile {
    const known = this.#fileAt(file.path);
    if (!known) return file;
    const places = countsOf(known.findings.map(placeKey));
    const atPlaces = file.findings.map((finding) => take(places, placeKey(finding)));
    // What stood at a place that is there no more can be known by what was said of it.
    const sayings = countsOf(known.findings.filter((each) => take(places, placeKey(each))).map(sayingKey));
    const problems = countsOf(known.problems.map(({ message }) => message));
    return {
      ...file,
      problems: file.problems.filter(
        ({ severity, message }) => severity === "error" || !take(problems, message),
      ),
      findings: file.findings.filter((finding, i) => !atPlaces[i] && !take(sayings, sayingKey(finding))),
    };
  }

  /** A baseline names files from its own folder, a report as they were named in its call. */
  #fileAt(path: string): KnownFile | undefined {
    return this.#files.get(slashed(relative(this.#folder, resolve(path)))) ?? this.#files.get(path);
  }
}

/** The text of a baseline that knows all of these findings, to be kept at a path. */
export function baselineText(path: string, files: readonly CheckedFile[]): string {
  const folder = dirname(resolve(path));
  const known = files
    .filter(({ problems, findings }) => problems.length + findings.length > 0)
    .map(({ path: file, problems, findings }) => ({
      path: slashed(relative(folder, resolve(file))),
      problems: problems.map(({ severity, message }) => ({ severity, message })),
      findings: findings.map(({ rule, severity, hand, bar, place, message }) => ({
        rule,
        severity,
        hand: hand ?? null,
        bar: bar ?? null,
        place,
        message,
      })),
    }))
    .sort((a, b) => (a.path < b.path ? -1 : 1));
  return `${JSON.stringify({ version: 1, files: known }, null, 2)}\n`;
}

function slashed(path: string): string {
  return path.split(sep).join("/");
}

function placeKey({ rule, hand, place }: KnownFinding): string {
  return JSON.stringify([rule, hand ?? null, place]);
}

function sayingKey({ rule, hand, bar, message }: KnownFinding): string {
  return JSON.stringify([rule, hand ?? null, bar ?? null, message]);
}

function countsOf(keys: readonly string[]): Map<string, number> {
  const counts = new Map<string, number>();
  for (const key of keys) counts.set(key, (counts.get(key) ?? 0) + 1);
  return counts;
}

/** Takes one of what is left; false when nothing is. */
function take(counts: Map<string, number>, key: string): boolean {
  const left = counts.get(key) ?? 0;
  if (left > 0) counts.set(key, left - 1);
  return left > 0;
}
