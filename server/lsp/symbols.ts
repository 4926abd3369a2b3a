import { type SymbolInformation, SymbolKind } from "vscode-languageserver/node";
import { type OutlineItem, outlineMatches } from "../../shared/service/outline.ts";
import type { OpenDocument } from "./state.ts";

/** Something in a score that has a name, and the name of what it lies in; that may be empty. */
export type NamedPlace = ReturnType<typeof outlineMatches>[number];

/** Everything in an outline, one after the other. */
export function namedPlaces(items: readonly OutlineItem[]): NamedPlace[] {
  return outlineMatches(items, "");
}

/** The protocol's kinds are those of programs; these come nearest. */
export const symbolKinds = {
  part: SymbolKind.Class,
  bar: SymbolKind.Field,
  rehearsal: SymbolKind.Key,
} as const;

/** An item with its place, for lists of symbols of many documents. */
export function symbolOf(document: OpenDocument, { item, container }: NamedPlace): SymbolInformation {
  return {
    name: item.name,
    kind: symbolKinds[item.kind],
    location: { uri: document.uri, range: document.convert.range(item.selection) },
    ...(container === "" ? {} : { containerName: container }),
  };
}
