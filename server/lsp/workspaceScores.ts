import { statSync } from "node:fs";
import { fileURLToPath, pathToFileURL } from "node:url";
import type { Diagnostic } from "vscode-languageserver/node";
import { InputError } from "../../shared/text/problem.ts";
import { readScoreFile } from "../files/readScoreFile.ts";
import { scoresBelow } from "../files/scoresBelow.ts";
import type { FoundSettings } from "../files/settingsFiles.ts";
import { diagnosticsOf } from "./diagnostics.ts";
import type { ClientFeatures } from "./features.ts";
import { OpenDocument } from "./state.ts";

/** What was found in a score on the disk that no editor has open. */
export interface StoredFindings {
  readonly uri: string;
  /** Changes when the file or its settings do. */
  readonly resultId: string;
  readonly diagnostics: readonly Diagnostic[];
}

/** The scores below the folders that an editor works in. A file is read again only when it or its settings changed. */
export class WorkspaceScores {
  readonly #known = new Map<string, StoredFindings>();
  readonly #settingsFor: (uri: string) => FoundSettings;

  constructor(settingsFor: (uri: string) => FoundSettings) {
    this.#settingsFor = settingsFor;
  }

  /** The addresses of all scores below folders; those of folders that are on no disk are left out. */
  async addresses(folders: readonly string[]): Promise<string[]> {
    const found = new Set<string>();
    for (const folder of folders.filter((uri) => uri.startsWith("file:")))
      for (const path of await scoresBelow(fileURLToPath(folder), { compressed: false, lenient: true }))
        found.add(pathToFileURL(path).href);
    for (const uri of this.#known.keys()) if (!found.has(uri)) this.#known.delete(uri);
    return [...found];
  }

  /** Undefined when the file has gone. */
  async findings(uri: string, features: ClientFeatures): Promise<StoredFindings | undefined> {
    const path = fileURLToPath(uri);
    const nature = statSync(path, { throwIfNoEntry: false });
    if (!nature) return undefined;
    const found = this.#settingsFor(uri);
    const resultId = `${nature.mtimeMs} ${nature.size} ${nature.ino} ${JSON.stringify(found.settings)}`;
    const known = this.#known.get(uri);
    if (known?.resultId === resultId) return known;
    const diagnostics = await this.#read(uri, path, features, found);
    const stored = { uri, resultId, diagnostics };
    this.#known.set(uri, stored);
    return stored;
  }

  async #read(
    uri: string,
    path: string,
    features: ClientFeatures,
    settings: FoundSettings,
  ): Promise<Diagnostic[]> {
    try {
      const { text } = await readScoreFile(path);
      const item = { uri, languageId: "musicxml", version: 0, text };
      return diagnosticsOf(new OpenDocument(item, features, () => settings), features);
    } catch (error) {
      if (!(error instanceof InputError)) throw error;
      const start = { line: 0, character: 0 };
      return [{ range: { start, end: start }, severity: 1, source: "placewright", message: error.message }];
    }
  }
}
