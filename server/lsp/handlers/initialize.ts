import {
  CodeActionKind,
  type InitializeParams,
  type InitializeResult,
  TextDocumentSyncKind,
} from "vscode-languageserver/node";
import { version } from "../../../package.json";
import { fingerCommand, fixCommand } from "../../../shared/protocol/commands.ts";
import { clientFeatures } from "../features.ts";
import type { ServerState } from "../state.ts";

export function initialize(state: ServerState, params: InitializeParams): InitializeResult {
  state.features = clientFeatures(params.capabilities);
  const { features } = state;
  return {
    serverInfo: { name: "Placewright", version },
    capabilities: {
      positionEncoding: features.positionEncoding,
      textDocumentSync: { openClose: true, change: TextDocumentSyncKind.Incremental },
      hoverProvider: true,
      documentSymbolProvider: true,
      workspaceSymbolProvider: true,
      foldingRangeProvider: true,
      selectionRangeProvider: true,
      documentHighlightProvider: true,
      inlayHintProvider: true,
      codeLensProvider: {},
      referencesProvider: true,
      definitionProvider: true,
      completionProvider: { triggerCharacters: [">", "<"] },
      codeActionProvider: {
        codeActionKinds: [CodeActionKind.QuickFix, CodeActionKind.RefactorRewrite],
        resolveProvider: features.resolvesCodeActions,
      },
      executeCommandProvider: { commands: [fingerCommand, fixCommand] },
    },
  };
}
