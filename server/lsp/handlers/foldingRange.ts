import type { FoldingRange, FoldingRangeParams } from "vscode-languageserver/node";
import { foldingSpans } from "../../../shared/service/foldingSpans.ts";
import type { ServerState } from "../state.ts";

/** Whole lines: an element's end tag stays in sight. */
export function foldingRange(state: ServerState, params: FoldingRangeParams): FoldingRange[] {
  const document = state.document(params.textDocument.uri);
  if (!document?.analysis) return [];
  const ranges: FoldingRange[] = [];
  let before = "";
  for (const span of foldingSpans(document.analysis)) {
    const startLine = document.convert.position(span.start).line;
    const endLine = document.convert.position(span.end).line - 1;
    // Two that fold the same lines are one to an editor.
    if (endLine <= startLine || `${startLine} ${endLine}` === before) continue;
    before = `${startLine} ${endLine}`;
    ranges.push({ startLine, endLine });
  }
  return state.features.foldingLimit === undefined ? ranges : ranges.slice(0, state.features.foldingLimit);
}
