import type { Hover, HoverParams } from "vscode-languageserver/node";
import { hoverText } from "../../../shared/service/hoverText.ts";
import { noteView } from "../../../shared/service/noteView.ts";
import type { ServerState } from "../state.ts";

export function hover(state: ServerState, params: HoverParams): Hover | null {
  const document = state.document(params.textDocument.uri);
  const analysis = document?.analysis;
  if (!document || !analysis) return null;
  const view = noteView(analysis, document.convert.offset(params.position));
  if (!view) return null;
  const { hoverFormat } = state.features;
  return {
    contents: { kind: hoverFormat, value: hoverText(view, hoverFormat) },
    range: document.convert.range(view.span),
  };
}
