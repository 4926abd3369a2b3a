import type { Diagnostic, PublishDiagnosticsParams } from "vscode-languageserver/node";
import { unmatchedEntry } from "../../shared/service/staleEntries.ts";
import type { ReadSettingsFile } from "../files/settingsFiles.ts";
import { diagnosticsFrom, foundIn } from "./diagnostics.ts";
import type { ReadingThread } from "./readingThread.ts";
import { SettingsFeed } from "./settingsFeed.ts";
import { longText, type OpenDocument, type ServerState } from "./state.ts";
import type { Found } from "./threadWork.ts";
import type { StoredFindings } from "./workspaceScores.ts";

/** How long to wait for the next keystroke before reading a text on the message loop, in milliseconds. */
const quietMs = 20;

/** What the feed needs of the connection. */
export interface FeedOutput {
  publish(params: PublishDiagnosticsParams): void;
  /** Runs a task and logs what it throws. */
  guard(name: string, task: () => void): void;
}

/** Sends findings once typing pauses; those of a text that has changed again meanwhile are dropped. */
export class DiagnosticsFeed {
  readonly #state: ServerState;
  readonly #output: FeedOutput;
  readonly #thread: ReadingThread;
  readonly #settings: SettingsFeed;
  readonly #waiting = new Map<string, NodeJS.Timeout>();
  /** Documents for which the editor shows something, or may. */
  readonly #shown = new Set<string>();

  constructor(state: ServerState, output: FeedOutput, thread: ReadingThread) {
    this.#state = state;
    this.#thread = thread;
    this.#output = output;
    this.#settings = new SettingsFeed(
      (params) => output.publish(params),
      () => state.features.positionEncoding,
    );
  }

  /** The document was opened or changed. */
  touch(uri: string, delayMs = this.#isReadAside(uri) ? 0 : quietMs): void {
    clearTimeout(this.#waiting.get(uri));
    this.#waiting.set(
      uri,
      setTimeout(() => {
        this.#waiting.delete(uri);
        this.#output.guard("diagnostics", () => this.#read(uri));
      }, delayMs),
    );
  }

  /** Beside the message loop nothing is lost with a reading that the next keystroke ends. */
  #isReadAside(uri: string): boolean {
    return (this.#state.document(uri)?.text.length ?? 0) >= longText;
  }

  /** The document was closed: the editor shows nothing of it any more. */
  clear(uri: string): void {
    clearTimeout(this.#waiting.get(uri));
    this.#waiting.delete(uri);
    this.#thread.forget(uri);
    if (this.#shown.delete(uri)) this.#output.publish({ uri, diagnostics: [] });
    this.#settings.show(uri, []);
  }

  /**
   * What is found in a document, at once or beside the message loop.
   * @returns undefined when its text or its settings have changed meanwhile.
   */
  async find(document: OpenDocument): Promise<Diagnostic[] | undefined> {
    if (document.isGone) return [];
    if (!(await this.#askHouse(document))) return undefined;
    const { uri, version, readings } = document;
    this.#settings.show(uri, document.settingsFiles);
    const found = await this.#foundIn(document);
    const isFresh =
      this.#state.document(uri) === document &&
      document.version === version &&
      document.readings === readings;
    if (!found || !isFresh) return undefined;
    this.#settings.show(uri, withUnmatched(document, found));
    return diagnosticsFrom(document, found, this.#state.features);
  }

  /** The same for a score on the disk that no editor has open; undefined when it has gone. */
  findStored(uri: string): Promise<StoredFindings | undefined> {
    return this.#state.storedScores.findings(uri, this.#state.features, this.#thread);
  }

  /** Sees to it that what house rules find is known. @returns false when the text or its settings have changed meanwhile. */
  async #askHouse(document: OpenDocument): Promise<boolean> {
    const { uri, version, readings, plugins, text, settings } = document;
    if (plugins.length === 0 || settings.house) return true;
    const house = await this.#state.house.findings(plugins, text, settings);
    const isFresh =
      this.#state.document(uri) === document &&
      document.version === version &&
      document.readings === readings;
    if (isFresh && house) document.takeHouse(house);
    return isFresh;
  }

  async #foundIn(document: OpenDocument): Promise<Found | undefined> {
    if (document.text.length >= longText) {
      const { uri, text, settings } = document;
      return this.#thread.read({ uri, text, settings });
    }
    const found = foundIn(document);
    // Changes may have come in while the text was read: let them be taken in before anything is sent.
    await new Promise((resolve) => setImmediate(resolve));
    return found;
  }

  #read(uri: string): void {
    const document = this.#state.document(uri);
    if (!document || this.#state.features.pullsDiagnostics) return;
    this.find(document)
      .then((diagnostics) => {
        if (diagnostics) this.#send(document, diagnostics);
      })
      .catch((error: unknown) =>
        this.#output.guard("diagnostics", () => {
          throw error;
        }),
      );
  }

  #send(document: OpenDocument, diagnostics: Diagnostic[]): void {
    const { uri, version, isMusicXml } = document;
    if (diagnostics.length === 0 && !isMusicXml && !this.#shown.has(uri)) return;
    this.#shown.add(uri);
    this.#output.publish({ uri, version, diagnostics });
  }
}

/** The files of a document's settings, with the entries that nothing fits. A text that is broken says nothing of them. */
function withUnmatched(
  { settingsFiles, accepted }: OpenDocument,
  { problems, unmatched }: Found,
): readonly ReadSettingsFile[] {
  if (unmatched.length === 0 || problems.some(({ severity }) => severity === "error")) return settingsFiles;
  return settingsFiles.map((file) =>
    file.path === accepted?.path
      ? { ...file, problems: [...file.problems, ...unmatched.map(unmatchedEntry)] }
      : file,
  );
}
