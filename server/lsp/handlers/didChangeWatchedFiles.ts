import type { DidChangeWatchedFilesParams } from "vscode-languageserver/node";
import { settingsFileName } from "../../../shared/service/settings.ts";
import type { DiagnosticsFeed } from "../diagnosticsFeed.ts";
import type { ServerState } from "../state.ts";

/** Settings that were saved count at once for the scores that are open. */
export function didChangeWatchedFiles(
  state: ServerState,
  feed: DiagnosticsFeed,
  { changes }: DidChangeWatchedFilesParams,
): void {
  if (!changes.some(({ uri }) => uri.endsWith(`/${settingsFileName}`))) return;
  for (const document of state.documents()) {
    document.forgetReading();
    feed.touch(document.uri);
  }
}
