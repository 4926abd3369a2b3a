import { pathToFileURL } from "node:url";
import { type DidChangeWatchedFilesParams, FileChangeType } from "vscode-languageserver/node";
import { acceptedFileName } from "../../../shared/service/acceptedFile.ts";
import { settingsFileName } from "../../../shared/service/settings.ts";
import type { DiagnosticsFeed } from "../diagnosticsFeed.ts";
import type { ServerState } from "../state.ts";

/**
 * Settings that were saved count at once for the scores that are open. A score that another program saved is read
 * anew, and so are those whose house rules were saved; where it is open its text is the editor's business, which is told of the file as well. Of one whose file is
 * deleted nothing is found any more, until there is a file again or its text is changed.
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
  // A program that saves may delete the file and make it again: what happened last counts.
  const saved = new Map(changes.map(({ uri, type }) => [uri, type]));
  let changed = settingsChanged;
  for (const { uri } of changes)
    if (/\.(musicxml|xml|mxl)$/i.test(uri) && !state.document(uri)) changed = true;
  for (const document of state.documents()) {
    const rulesSaved = document.plugins.some((path) => saved.has(pathToFileURL(path).href));
    if (settingsChanged || rulesSaved) document.forgetReading();
    const what = saved.get(document.uri);
    if (what !== undefined) document.setGone(what === FileChangeType.Deleted);
    if (settingsChanged || rulesSaved || what !== undefined) feed.touch(document.uri);
    if (rulesSaved || what !== undefined) changed = true;
  }
  if (changed) refresh();
}
