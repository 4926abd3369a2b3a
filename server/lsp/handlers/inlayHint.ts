import type { InlayHint, InlayHintParams } from "vscode-languageserver/node";
import { noteHints } from "../../../shared/service/noteHints.ts";
import type { ServerState } from "../state.ts";

/** What each note in the range is; only the range that the editor shows is looked at. */
export function inlayHint(state: ServerState, params: InlayHintParams): InlayHint[] {
  const document = state.document(params.textDocument.uri);
  const analysis = document?.analysis;
  if (!document || !analysis) return [];
  return noteHints(analysis, document.convert.span(params.range)).map(({ offset, label, tooltip }) => ({
    position: document.convert.position(offset),
    label,
    tooltip,
    paddingLeft: true,
  }));
}
