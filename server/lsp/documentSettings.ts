import { fileURLToPath } from "node:url";
import type { OpenText } from "../files/knownFiles.ts";
import { type FoundSettings, SettingsFiles } from "../files/settingsFiles.ts";

/** A document that lies in no folder has none. */
export const noSettings: FoundSettings = { settings: {}, files: [], accepted: undefined, plugins: [] };

/** The settings of documents, by their addresses. */
export class DocumentSettings {
  readonly #files: SettingsFiles;

  /** @param openText of files of accepted findings that are open in the editor. */
  constructor(openText: OpenText) {
    this.#files = new SettingsFiles(openText);
  }

  settingsFor(uri: string): FoundSettings {
    const path = pathOf(uri);
    return path === undefined ? noSettings : this.#files.settingsFor(path);
  }
}

/** Undefined for a document that is not on a disk, or on one that this machine does not know. */
function pathOf(uri: string): string | undefined {
  if (!uri.startsWith("file:")) return undefined;
  try {
    return fileURLToPath(uri);
  } catch {
    return undefined;
  }
}
