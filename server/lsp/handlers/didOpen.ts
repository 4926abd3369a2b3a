import type { DidOpenTextDocumentParams } from "vscode-languageserver/node";
import { isAcceptedFile } from "../acceptedDocuments.ts";
import type { DiagnosticsFeed } from "../diagnosticsFeed.ts";
import type { ServerState } from "../state.ts";

/** @param acceptedChanged called when it was a file of accepted findings. */
export function didOpen(
  state: ServerState,
  feed: DiagnosticsFeed,
  acceptedChanged: () => void,
  params: DidOpenTextDocumentParams,
): void {
  if (isAcceptedFile(params.textDocument.uri)) {
    state.acceptedDocuments.open(params.textDocument);
    acceptedChanged();
    return;
  }
  const { uri } = state.open(params.textDocument);
  // Nobody is typing yet: read it at once.
  feed.touch(uri, 0);
}
