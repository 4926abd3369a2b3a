import type { DocumentSymbol, DocumentSymbolParams, SymbolInformation } from "vscode-languageserver/node";
import { type OutlineItem, outline } from "../../../shared/service/outline.ts";
import type { OpenDocument, ServerState } from "../state.ts";
import { namedPlaces, symbolKinds, symbolOf } from "../symbols.ts";

/** Parts, bars and rehearsal marks; a client that knows no trees gets a flat list. */
export function documentSymbol(
  state: ServerState,
  params: DocumentSymbolParams,
): DocumentSymbol[] | SymbolInformation[] {
  const document = state.document(params.textDocument.uri);
  if (!document?.analysis) return [];
  const items = outline(document.analysis);
  if (state.features.symbolTree) return items.map((item) => treeOf(document, item));
  return namedPlaces(items).map((place) => symbolOf(document, place));
}

function treeOf(document: OpenDocument, item: OutlineItem): DocumentSymbol {
  return {
    name: item.name,
    detail: item.detail,
    kind: symbolKinds[item.kind],
    range: document.convert.range(item.span),
    selectionRange: document.convert.range(item.selection),
    children: item.children.map((child) => treeOf(document, child)),
  };
}
