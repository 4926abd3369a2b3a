import type { DidCloseTextDocumentParams } from "vscode-languageserver/node";
import { isAcceptedFile } from "../acceptedDocuments.ts";
import type { DiagnosticsFeed } from "../diagnosticsFeed.ts";
import type { ServerState } from "../state.ts";

/** @param acceptedChanged called when it was a file of accepted findings. */
export function didClose(
  state: ServerState,
  feed: DiagnosticsFeed,
  acceptedChanged: () => void,
  params: DidCloseTextDocumentParams,
): void {
  if (isAcceptedFile(params.textDocument.uri)) {
    state.acceptedDocuments.close(params.textDocument.uri);
    acceptedChanged();
    return;
  }
  state.close(params.textDocument.uri);
  feed.clear(params.textDocument.uri);
}
