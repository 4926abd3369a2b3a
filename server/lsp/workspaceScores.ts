import { statSync } from "node:fs";
import { fileURLToPath, pathToFileURL } from "node:url";
import { type Diagnostic, DiagnosticSeverity, type SymbolInformation } from "vscode-languageserver/node";
import { readScore } from "../../shared/score/readScore.ts";
import { outline } from "../../shared/service/outline.ts";
import { InputError } from "../../shared/text/problem.ts";
import { readScoreFile } from "../files/readScoreFile.ts";
import { scoresBelow } from "../files/scoresBelow.ts";
import type { FoundSettings } from "../files/settingsFiles.ts";
import { diagnosticSource, diagnosticsFrom } from "./diagnostics.ts";
import type { DocumentHouse } from "./documentHouse.ts";
import { noSettings } from "./documentSettings.ts";
import type { ClientFeatures } from "./features.ts";
import type { ReadingThread } from "./readingThread.ts";
import { OpenDocument } from "./state.ts";
import { type NamedPlace, namedPlaces, symbolOf } from "./symbols.ts";

/** What was found in a score on the disk that no editor has open. */
export interface StoredFindings {
  readonly uri: string;
  /** Changes when the file or its settings do. */
  readonly resultId: string;
  readonly diagnostics: readonly Diagnostic[];
}

interface StoredNames {
  readonly stamp: string;
  readonly symbols: readonly SymbolInformation[];
}

/** A file as read: the text in it, and whether an editor can show a place in that. */
interface StoredText {
  readonly document: OpenDocument;
  readonly isCompressed: boolean;
}

const beginning = { start: { line: 0, character: 0 }, end: { line: 0, character: 0 } };

/**
 * The scores below the folders that an editor works in, compressed ones too. A file is read again only when it or its
 * settings changed. What is in a compressed score has no place that an editor could show: it stands at the beginning,
 * and says its bar.
 */
export class WorkspaceScores {
  readonly #findings = new Map<string, StoredFindings>();
  readonly #names = new Map<string, StoredNames>();
  readonly #settingsFor: (uri: string) => FoundSettings;

  readonly #house: DocumentHouse["findings"];

  constructor(settingsFor: (uri: string) => FoundSettings, house: DocumentHouse["findings"]) {
    this.#settingsFor = settingsFor;
    this.#house = house;
  }

  /** The addresses of all scores below folders; those of folders that are on no disk are left out. */
  async addresses(folders: readonly string[]): Promise<string[]> {
    const found = new Set<string>();
    for (const folder of folders.filter((uri) => uri.startsWith("file:")))
      for (const path of await scoresBelow(fileURLToPath(folder), { compressed: true, lenient: true }))
        found.add(pathToFileURL(path).href);
    for (const known of [this.#findings, this.#names])
      for (const uri of known.keys()) if (!found.has(uri)) known.delete(uri);
    return [...found];
  }

  /**
   * What is found in a file, beside the message loop.
   * @returns undefined when the file has gone, or was asked about again meanwhile.
   */
  async findings(
    uri: string,
    features: ClientFeatures,
    thread: ReadingThread,
  ): Promise<StoredFindings | undefined> {
    const stamp = stampOf(uri);
    if (stamp === undefined) return undefined;
    const found = this.#settingsFor(uri);
    const resultId = `${stamp} ${JSON.stringify([found.settings, found.plugins])}`;
    const known = this.#findings.get(uri);
    if (known?.resultId === resultId) return known;
    const diagnostics = await this.#diagnostics(uri, features, found, thread);
    if (!diagnostics) return undefined;
    const stored = { uri, resultId, diagnostics };
    this.#findings.set(uri, stored);
    return stored;
  }

  /** Everything that has a name in a file, by its place. None when the file has gone or cannot be read. */
  async symbols(uri: string, features: ClientFeatures): Promise<readonly SymbolInformation[]> {
    const stamp = stampOf(uri);
    if (stamp === undefined) return [];
    const known = this.#names.get(uri);
    if (known?.stamp === stamp) return known.symbols;
    const symbols = await this.#symbols(uri, features);
    this.#names.set(uri, { stamp, symbols });
    return symbols;
  }

  /** Lets go of names, which are found again quickly. */
  rest(): void {
    this.#names.clear();
  }

  async #symbols(uri: string, features: ClientFeatures): Promise<SymbolInformation[]> {
    const stored = await textOf(uri, features, noSettings);
    if (typeof stored === "string") return [];
    const { document, isCompressed } = stored;
    const { text } = document;
    const places: NamedPlace[] = namedPlaces(outline({ text, harp: undefined, ...readScore(text) }));
    return places.map((place) => {
      const symbol = symbolOf(document, place);
      return isCompressed ? { ...symbol, location: { uri, range: beginning } } : symbol;
    });
  }

  async #diagnostics(
    uri: string,
    features: ClientFeatures,
    settings: FoundSettings,
    thread: ReadingThread,
  ): Promise<Diagnostic[] | undefined> {
    const stored = await textOf(uri, features, settings);
    if (typeof stored === "string")
      return [
        {
          range: beginning,
          severity: DiagnosticSeverity.Error,
          source: diagnosticSource,
          message: stored,
        },
      ];
    const { document, isCompressed } = stored;
    const { text } = document;
    const house = await this.#house(settings.plugins, text, settings.settings);
    const found = await thread.read({ uri, text, settings: { ...settings.settings, house } });
    if (!found || !isCompressed) return found && diagnosticsFrom(document, found, features);
    const findings = found.findings.map((finding) => ({
      ...finding,
      message: finding.bar === undefined ? finding.message : `bar ${finding.bar}: ${finding.message}`,
      related: [],
    }));
    return diagnosticsFrom(document, { ...found, findings }, features).map((diagnostic) => ({
      ...diagnostic,
      range: beginning,
    }));
  }
}

/** Changes when a file does; undefined when it has gone. */
function stampOf(uri: string): string | undefined {
  const nature = statSync(fileURLToPath(uri), { throwIfNoEntry: false });
  return nature && `${nature.mtimeMs} ${nature.size} ${nature.ino}`;
}

/** A score as an editor that opens it would have it, or why it cannot be read. */
async function textOf(
  uri: string,
  features: ClientFeatures,
  settings: FoundSettings,
): Promise<StoredText | string> {
  try {
    const { text, container } = await readScoreFile(fileURLToPath(uri));
    const item = { uri, languageId: "musicxml", version: 0, text };
    return {
      document: new OpenDocument(item, features, () => settings),
      isCompressed: container !== undefined,
    };
  } catch (error) {
    if (error instanceof InputError) return error.message;
    throw error;
  }
}
