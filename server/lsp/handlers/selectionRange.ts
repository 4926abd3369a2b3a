import type { SelectionRange, SelectionRangeParams } from "vscode-languageserver/node";
import { selectionSpans } from "../../../shared/service/selectionSpans.ts";
import type { Span } from "../../../shared/text/span.ts";
import type { OpenDocument, ServerState } from "../state.ts";

/** For each place what a selection there grows to. */
export function selectionRange(state: ServerState, params: SelectionRangeParams): SelectionRange[] | null {
  const document = state.document(params.textDocument.uri);
  const analysis = document?.analysis;
  if (!document || !analysis) return null;
  return params.positions.map((position) =>
    nested(document, selectionSpans(analysis, document.convert.offset(position))),
  );
}

function nested(document: OpenDocument, spans: readonly Span[]): SelectionRange {
  const [smallest, ...larger] = spans;
  const range = document.convert.range(smallest!);
  return larger.length === 0 ? { range } : { range, parent: nested(document, larger) };
}
