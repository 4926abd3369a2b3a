import {
  type DocumentHighlight,
  DocumentHighlightKind,
  type DocumentHighlightParams,
} from "vscode-languageserver/node";
import { placingNotes } from "../../../shared/service/placingNotes.ts";
import type { ServerState } from "../state.ts";

/** The notes of the placing at a place. */
export function documentHighlight(state: ServerState, params: DocumentHighlightParams): DocumentHighlight[] {
  const document = state.document(params.textDocument.uri);
  const analysis = document?.analysis;
  if (!document || !analysis) return [];
  return placingNotes(analysis, document.convert.offset(params.position)).map(({ span }) => ({
    range: document.convert.range(span),
    kind: DocumentHighlightKind.Text,
  }));
}
