import {
  type CodeAction,
  type Connection,
  DidChangeWatchedFilesNotification,
  type DocumentHighlightParams,
  ErrorCodes,
  type HoverParams,
  MessageType,
  ResponseError,
  ShowMessageNotification,
  type TextDocumentPositionParams,
} from "vscode-languageserver/node";
import {
  containerRequests,
  type SavedContainer,
  type UnpackedScore,
} from "../../shared/protocol/container.ts";
import { panelNotifications, panelRequests } from "../../shared/protocol/panel.ts";
import { acceptedFileName } from "../../shared/service/acceptedFile.ts";
import { settingsFileName } from "../../shared/service/settings.ts";
import { DiagnosticsFeed, type FeedOutput } from "./diagnosticsFeed.ts";
import { Dispatcher } from "./dispatcher.ts";
import { DocumentHouse } from "./documentHouse.ts";
import { EditThread } from "./editThread.ts";
import { followAccepted } from "./followAccepted.ts";
import { codeAction } from "./handlers/codeAction.ts";
import { codeLens } from "./handlers/codeLens.ts";
import { completion } from "./handlers/completion.ts";
import { containerSave } from "./handlers/containerSave.ts";
import { containerUnpack } from "./handlers/containerUnpack.ts";
import { diagnostic } from "./handlers/diagnostic.ts";
import { didChange } from "./handlers/didChange.ts";
import { didChangeWatchedFiles } from "./handlers/didChangeWatchedFiles.ts";
import { didClose } from "./handlers/didClose.ts";
import { didOpen } from "./handlers/didOpen.ts";
import { documentHighlight } from "./handlers/documentHighlight.ts";
import { documentSymbol } from "./handlers/documentSymbol.ts";
import { type CommandClient, executeCommand } from "./handlers/executeCommand.ts";
import { foldingRange } from "./handlers/foldingRange.ts";
import { hover } from "./handlers/hover.ts";
import { initialize } from "./handlers/initialize.ts";
import { inlayHint } from "./handlers/inlayHint.ts";
import { panelChange } from "./handlers/panelChange.ts";
import { panelNote } from "./handlers/panelNote.ts";
import { panelRead } from "./handlers/panelRead.ts";
import { panelWays } from "./handlers/panelWays.ts";
import { definition, references } from "./handlers/references.ts";
import { resolveCodeAction } from "./handlers/resolveCodeAction.ts";
import { selectionRange } from "./handlers/selectionRange.ts";
import { workspaceDiagnostic } from "./handlers/workspaceDiagnostic.ts";
import { workspaceSymbol } from "./handlers/workspaceSymbol.ts";
import { beginWork } from "./progress.ts";
import { finding, proposing, ReadingThread } from "./readingThread.ts";
import { refreshEditor } from "./refreshEditor.ts";
import { ServerState } from "./state.ts";

/**
 * Answers one editor until it says exit or its end of the connection closes.
 * @param bundle the file that this code was loaded from, to be loaded once more in a thread.
 */
export function serve(connection: Connection, bundle: string): void {
  const show = (type: MessageType, message: string): void =>
    void connection.sendNotification(ShowMessageNotification.type, { type, message });
  const tell = (message: string): void => show(MessageType.Info, message);
  const house = new DocumentHouse(bundle, { tell, warn: (message) => show(MessageType.Warning, message) });
  const state = new ServerState(new EditThread(bundle), new ReadingThread(bundle, proposing), house);
  const dispatcher = new Dispatcher((message) => connection.console.error(message));
  const output: FeedOutput = {
    publish: (params) => void connection.sendDiagnostics(params),
    guard: (name, task) => dispatcher.guard(name, task),
  };
  const feed = new DiagnosticsFeed(state, output, new ReadingThread(bundle, finding));
  const refresh = (): void => {
    refreshEditor(connection, state.features);
    if (state.hasPanel) void connection.sendNotification(panelNotifications.changed);
  };
  const acceptedChanged = (): void => {
    for (const document of state.documents()) {
      document.forgetReading();
      feed.touch(document.uri);
    }
    refresh();
  };
  const client: CommandClient = {
    tell,
    acceptedChanged,
    begin: (title, params, token) => beginWork(connection, state, title, params, token),
    applyEdit: (params) => connection.workspace.applyEdit(params),
  };

  connection.onInitialize((params) => {
    if (dispatcher.phase !== "before initialize") {
      return new ResponseError(ErrorCodes.InvalidRequest, "initialize came a second time.");
    }
    const result = initialize(state, params);
    dispatcher.phase = "running";
    return result;
  });
  connection.onInitialized(
    dispatcher.notification("initialized", () => {
      if (state.features.changesFolders)
        connection.workspace.onDidChangeWorkspaceFolders((event) => state.changeFolders(event));
      if (state.features.editsOtherFiles) followAccepted(connection);
      if (!state.features.watchesFiles) return;
      const modules = state.house.allowed ? ["*.mjs", "*.js"] : [];
      const patterns = [settingsFileName, acceptedFileName, "*.musicxml", "*.xml", "*.mxl", ...modules].map(
        (name) => `**/${name}`,
      );
      const watchers = patterns.map((globPattern) => ({ globPattern }));
      connection.client
        .register(DidChangeWatchedFilesNotification.type, { watchers })
        .catch((error: unknown) => connection.console.error(`files are not watched: ${String(error)}`));
    }),
  );
  connection.onDidChangeWatchedFiles(
    dispatcher.notification("workspace/didChangeWatchedFiles", (params) =>
      didChangeWatchedFiles(state, feed, refresh, params),
    ),
  );
  connection.languages.diagnostics.on(
    dispatcher.request("textDocument/diagnostic", (params) => diagnostic(state, feed, params)),
  );
  connection.languages.diagnostics.onWorkspace(
    dispatcher.request("workspace/diagnostic", (params, token) =>
      workspaceDiagnostic(state, feed, params, token),
    ),
  );
  connection.onShutdown(() => {
    dispatcher.phase = "after shutdown";
  });

  connection.onDidOpenTextDocument(
    dispatcher.notification("textDocument/didOpen", (params) =>
      didOpen(state, feed, acceptedChanged, params),
    ),
  );
  connection.onDidChangeTextDocument(
    dispatcher.notification("textDocument/didChange", (params) =>
      didChange(state, feed, acceptedChanged, params),
    ),
  );
  connection.onDidCloseTextDocument(
    dispatcher.notification("textDocument/didClose", (params) =>
      didClose(state, feed, acceptedChanged, params),
    ),
  );
  /** Answers once what is proposed for the document is known. */
  const withProposals =
    <P, R>(uriOf: (params: P) => unknown, handler: (params: P) => R | Promise<R>) =>
    async (params: P): Promise<R> => {
      const uri = uriOf(params);
      const document = typeof uri === "string" ? state.document(uri) : undefined;
      if (document) await state.propose(document);
      return handler(params);
    };
  const shownDocument = (params: TextDocumentPositionParams): string => params.textDocument.uri;
  const panelDocument = (params: unknown): unknown => (params as { uri?: unknown } | undefined)?.uri;
  connection.onHover(
    dispatcher.request(
      "textDocument/hover",
      withProposals(shownDocument, (params: HoverParams) => hover(state, params)),
    ),
  );
  connection.onDocumentSymbol(
    dispatcher.request("textDocument/documentSymbol", (params) => documentSymbol(state, params)),
  );
  connection.onWorkspaceSymbol(
    dispatcher.request("workspace/symbol", (params, token) => workspaceSymbol(state, params, token)),
  );
  connection.onFoldingRanges(
    dispatcher.request("textDocument/foldingRange", (params) => foldingRange(state, params)),
  );
  connection.onSelectionRanges(
    dispatcher.request("textDocument/selectionRange", (params) => selectionRange(state, params)),
  );
  connection.onDocumentHighlight(
    dispatcher.request(
      "textDocument/documentHighlight",
      withProposals(shownDocument, (params: DocumentHighlightParams) => documentHighlight(state, params)),
    ),
  );
  connection.languages.inlayHint.on(
    dispatcher.request("textDocument/inlayHint", (params) => inlayHint(state, params)),
  );
  connection.onCodeLens(dispatcher.request("textDocument/codeLens", (params) => codeLens(state, params)));
  connection.onReferences(
    dispatcher.request("textDocument/references", (params) => references(state, params)),
  );
  connection.onDefinition(
    dispatcher.request("textDocument/definition", (params) => definition(state, params)),
  );
  connection.onCompletion(
    dispatcher.request("textDocument/completion", (params) => completion(state, params)),
  );
  connection.onCodeAction(
    dispatcher.request("textDocument/codeAction", (params) => codeAction(state, params)),
  );
  connection.onCodeActionResolve(
    dispatcher.request("codeAction/resolve", (action: CodeAction, token) =>
      resolveCodeAction(state, tell, action, token),
    ),
  );
  connection.onExecuteCommand(
    dispatcher.request("workspace/executeCommand", (params, token) =>
      executeCommand(state, client, params, token),
    ),
  );
  connection.onRequest(
    panelRequests.read,
    dispatcher.request(
      panelRequests.read,
      withProposals(panelDocument, (params: { uri?: unknown }) => panelRead(state, params)),
    ),
  );
  connection.onRequest(
    panelRequests.note,
    dispatcher.request(
      panelRequests.note,
      withProposals(panelDocument, (params: unknown) => panelNote(state, params)),
    ),
  );
  connection.onRequest(
    panelRequests.ways,
    dispatcher.request(
      panelRequests.ways,
      withProposals(panelDocument, (params: unknown) => panelWays(state, params)),
    ),
  );
  connection.onRequest(
    panelRequests.change,
    dispatcher.request(panelRequests.change, (params: unknown) => panelChange(state, client, params)),
  );
  connection.onRequest<UnpackedScore, void>(
    containerRequests.unpack,
    dispatcher.request(containerRequests.unpack, (params: unknown) => containerUnpack(params)),
  );
  connection.onRequest<SavedContainer, void>(
    containerRequests.save,
    dispatcher.request(containerRequests.save, (params: unknown) => containerSave(params)),
  );
  connection.listen();
}
