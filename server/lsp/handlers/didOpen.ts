import type { DidOpenTextDocumentParams } from "vscode-languageserver/node";
import type { DiagnosticsFeed } from "../diagnosticsFeed.ts";
import type { ServerState } from "../state.ts";

export function didOpen(state: ServerState, feed: DiagnosticsFeed, params: DidOpenTextDocumentParams): void {
  const { uri } = state.open(params.textDocument);
  // Nobody is typing yet: read it at once.
  feed.touch(uri, 0);
}
