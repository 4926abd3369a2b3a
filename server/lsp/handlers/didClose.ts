import type { DidCloseTextDocumentParams } from "vscode-languageserver/node";
import type { DiagnosticsFeed } from "../diagnosticsFeed.ts";
import type { ServerState } from "../state.ts";

export function didClose(
  state: ServerState,
  feed: DiagnosticsFeed,
  params: DidCloseTextDocumentParams,
): void {
  state.close(params.textDocument.uri);
  feed.clear(params.textDocument.uri);
}
