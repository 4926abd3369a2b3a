import type { DidChangeWatchedFilesParams } from "vscode-languageserver/node";
import { acceptedFileName } from "../../../shared/service/acceptedFile.ts";
import { settingsFileName } from "../../../shared/service/settings.ts";
import type { DiagnosticsFeed } from "../diagnosticsFeed.ts";
import type { ServerState } from "../state.ts";

/**
 * Settings that were saved count at once for the scores that are open. A score that another program saved is read
 * anew; where it is open its text is the editor's business, which is told of the file as well.
 */
export function didChangeWatchedFiles(
  state: ServerState,
  feed: DiagnosticsFeed,
  refresh: () => void,
  { changes }: DidChangeWatchedFilesParams,
): void {
  const settingsChanged = changes.some(({ uri }) =>
    [settingsFileName, acceptedFileName].some((name) => uri.endsWith(`/${name}`)),
  );
  const saved = new Set(changes.map(({ uri }) => uri));
  let changed = settingsChanged;
  for (const { uri } of changes) if (/\.(musicxml|xml)$/i.test(uri) && !state.document(uri)) changed = true;
  for (const document of state.documents()) {
    if (settingsChanged) document.forgetReading();
    if (settingsChanged || saved.has(document.uri)) feed.touch(document.uri);
  }
  if (changed) refresh();
}
