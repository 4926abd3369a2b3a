import {
  CodeActionKind,
  type InitializeParams,
  type InitializeResult,
  TextDocumentSyncKind,
} from "vscode-languageserver/node";
import { version } from "../../../package.json";
import {
  acceptCommand,
  fingerCommand,
  fixAllCommand,
  fixCommand,
} from "../../../shared/protocol/commands.ts";
import { clientFeatures } from "../features.ts";
import type { ServerState } from "../state.ts";

export function initialize(state: ServerState, params: InitializeParams): InitializeResult {
  state.features = clientFeatures(params.capabilities);
  const { features } = state;
  // The editor knows whether the folder is trusted; the server runs nothing of a folder's own unless it is told to.
  const options = params.initializationOptions as
    | { readonly allowPlugins?: unknown; readonly panel?: unknown }
    | null
    | undefined;
  state.house.allowed = options?.allowPlugins === true;
  state.hasPanel = options?.panel === true;
  const single = params.rootUri ? [params.rootUri] : [];
  state.folders = params.workspaceFolders?.map(({ uri }) => uri) ?? single;
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
      // An editor that is sent findings and asks for them as well would show them twice.
      ...(features.pullsDiagnostics
        ? {
            diagnosticProvider: {
              identifier: "placewright",
              interFileDependencies: false,
              workspaceDiagnostics: true,
            },
          }
        : {}),
      codeActionProvider: {
        codeActionKinds: [
          CodeActionKind.QuickFix,
          CodeActionKind.RefactorRewrite,
          CodeActionKind.SourceFixAll,
        ],
        resolveProvider: features.resolvesCodeActions,
      },
      executeCommandProvider: {
        commands: [fingerCommand, fixCommand, fixAllCommand, acceptCommand],
        workDoneProgress: true,
      },
      workspace: { workspaceFolders: { supported: true, changeNotifications: true } },
    },
  };
}
