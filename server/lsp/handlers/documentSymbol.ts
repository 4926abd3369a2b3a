import {
  type DocumentSymbol,
  type DocumentSymbolParams,
  type SymbolInformation,
  SymbolKind,
} from "vscode-languageserver/node";
import { type OutlineItem, outline, outlineMatches } from "../../../shared/service/outline.ts";
import type { OpenDocument, ServerState } from "../state.ts";

/** Parts, bars and rehearsal marks; a client that knows no trees gets a flat list. */
export function documentSymbol(
  state: ServerState,
  params: DocumentSymbolParams,
): DocumentSymbol[] | SymbolInformation[] {
  const document = state.document(params.textDocument.uri);
  if (!document?.analysis) return [];
  const items = outline(document.analysis);
  if (state.features.symbolTree) return items.map((item) => treeOf(document, item));
  return outlineMatches(items, "").map(({ item, container }) => symbolOf(document, item, container));
}

/** An item with its place, for lists of symbols of many documents. */
export function symbolOf(
  document: OpenDocument,
  item: OutlineItem,
  containerName: string,
): SymbolInformation {
  return {
    name: item.name,
    kind: kinds[item.kind],
    location: { uri: document.uri, range: document.convert.range(item.selection) },
    ...(containerName === "" ? {} : { containerName }),
  };
}

/** The protocol's kinds are those of programs; these come nearest. */
const kinds = {
  part: SymbolKind.Class,
  bar: SymbolKind.Field,
  rehearsal: SymbolKind.Key,
} as const;

function treeOf(document: OpenDocument, item: OutlineItem): DocumentSymbol {
  return {
    name: item.name,
    detail: item.detail,
    kind: kinds[item.kind],
    range: document.convert.range(item.span),
    selectionRange: document.convert.range(item.selection),
    children: item.children.map((child) => treeOf(document, child)),
  };
}
