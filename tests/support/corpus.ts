import { existsSync, readdirSync, readFileSync, statSync } from "node:fs";
import { join } from "node:path";

/** Real scores of many programs. They are not part of this repository: tests that need them are skipped without. */
const folder = join(import.meta.dirname, "../../../shared/corpus");

export const hasCorpus = existsSync(folder);
/** Why such a test is skipped. */
export const noCorpus = "../shared/corpus is not there";

export interface CorpusFile {
  /** `source/name`. */
  readonly path: string;
  readonly source: string;
  bytes(): Uint8Array;
}

export function corpusFiles(): CorpusFile[] {
  if (!hasCorpus) return [];
  const sources = readdirSync(folder).filter(
    (name) => name !== "LICENCES" && statSync(join(folder, name)).isDirectory(),
  );
  return sources.sort().flatMap((source) =>
    readdirSync(join(folder, source))
      .sort()
      .map((name) => ({
        path: `${source}/${name}`,
        source,
        bytes: () => readFileSync(join(folder, source, name)),
      })),
  );
}

export function corpusFile(path: string): Uint8Array {
  return readFileSync(join(folder, path));
}
