import { type SymbolInformation, SymbolKind, type WorkspaceSymbolParams } from "vscode-languageserver/node";
import { outline, outlineMatches } from "../../../shared/service/outline.ts";
import type { ServerState } from "../state.ts";
import { symbolOf } from "./documentSymbol.ts";

/** The parts, bars and rehearsal marks of the scores that are open. Bars only when something is sought. */
export function workspaceSymbol(state: ServerState, { query }: WorkspaceSymbolParams): SymbolInformation[] {
  return [...state.documents()].flatMap((document) => {
    const { analysis } = document;
    if (!analysis) return [];
    const found = outlineMatches(outline(analysis), query ?? "").map(({ item, container }) =>
      symbolOf(document, item, container),
    );
    return query ? found : found.filter(({ kind }) => kind !== SymbolKind.Field);
  });
}
