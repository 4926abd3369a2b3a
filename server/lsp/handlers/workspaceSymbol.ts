import {
  type CancellationToken,
  LSPErrorCodes,
  ResponseError,
  type SymbolInformation,
  SymbolKind,
  type WorkspaceSymbolParams,
} from "vscode-languageserver/node";
import { outline } from "../../../shared/service/outline.ts";
import type { ServerState } from "../state.ts";
import { namedPlaces, symbolOf } from "../symbols.ts";

/** Nobody looks through more. */
const mostSymbols = 2_000;

/**
 * The parts, bars and rehearsal marks of all scores below the editor's folders, of those that are open as they stand
 * there. Bars only when something is sought.
 */
export async function workspaceSymbol(
  state: ServerState,
  { query }: WorkspaceSymbolParams,
  token: CancellationToken,
): Promise<SymbolInformation[]> {
  const sought = (query ?? "").trim().toLowerCase();
  const isSought = ({ name, kind }: SymbolInformation): boolean =>
    sought === "" ? kind !== SymbolKind.Field : name.toLowerCase().includes(sought);
  const found: SymbolInformation[] = [];
  const open = [...state.documents()];
  for (const document of open) {
    const { analysis } = document;
    if (analysis)
      found.push(
        ...namedPlaces(outline(analysis))
          .map((place) => symbolOf(document, place))
          .filter(isSought),
      );
  }
  const isOpen = new Set(open.map(({ uri }) => uri));
  for (const uri of await state.storedScores.addresses(state.folders)) {
    if (isOpen.has(uri)) continue;
    // Reading a folder takes long: let other messages through between two scores.
    await new Promise((resolve) => setImmediate(resolve));
    if (token.isCancellationRequested)
      throw new ResponseError(LSPErrorCodes.RequestCancelled, "workspace/symbol was cancelled.");
    if (found.length >= mostSymbols) break;
    found.push(...(await state.storedScores.symbols(uri, state.features)).filter(isSought));
  }
  return found.slice(0, mostSymbols);
}
