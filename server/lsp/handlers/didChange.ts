import type { DidChangeTextDocumentParams } from "vscode-languageserver/node";
import { isAcceptedFile } from "../acceptedDocuments.ts";
import type { DiagnosticsFeed } from "../diagnosticsFeed.ts";
import type { ServerState } from "../state.ts";

/**
 * A document whose changes cannot be followed is let go: an edit made for a wrong text would damage the right one.
 * @param acceptedChanged called when it was a file of accepted findings.
 */
export function didChange(
  state: ServerState,
  feed: DiagnosticsFeed,
  acceptedChanged: () => void,
  params: DidChangeTextDocumentParams,
): void {
  const { uri, version } = params.textDocument;
  if (isAcceptedFile(uri)) {
    state.acceptedDocuments.change(uri, params.contentChanges, version);
    acceptedChanged();
    return;
  }
  const document = state.document(uri);
  if (!document) return;
  try {
    document.change(params.contentChanges, version);
  } catch (error) {
    state.close(uri);
    feed.clear(uri);
    throw error;
  }
  feed.touch(uri);
}
