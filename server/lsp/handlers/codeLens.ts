import type { CodeLens, CodeLensParams } from "vscode-languageserver/node";
import { measureLenses } from "../../../shared/service/measureLenses.ts";
import type { ServerState } from "../state.ts";

/** Lines above the bars. They say something and do nothing: an empty command is how the protocol says so. */
export function codeLens(state: ServerState, params: CodeLensParams): CodeLens[] {
  const document = state.document(params.textDocument.uri);
  const analysis = document?.analysis;
  if (!document || !analysis) return [];
  return measureLenses(analysis).map(({ span, title }) => ({
    range: document.convert.range(span),
    command: { title, command: "" },
  }));
}
