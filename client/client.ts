import * as vscode from "vscode";
import { CodeLensRequest, InlayHintRequest } from "vscode-languageclient";
import {
  LanguageClient,
  type LanguageClientOptions,
  type Middleware,
  State,
  TransportKind,
} from "vscode-languageclient/node";
import { scoreSchemes } from "./scores.ts";
import type { TakeEdit } from "./server.ts";
import type { ScoreStatus } from "./status.ts";

export interface ClientParts {
  /** The server's bundle. */
  readonly module: string;
  readonly output: vscode.LogOutputChannel;
  /** Tells the user that a text is being read until the task is done. */
  readonly whileReading: ScoreStatus["whileReading"];
  readonly takeEdit: TakeEdit;
  readonly onStarted: (client: LanguageClient) => void;
}

/** A client of the language server, not yet started. */
export function createClient({
  module,
  output,
  whileReading,
  takeEdit,
  onStarted,
}: ClientParts): LanguageClient {
  const client = new LanguageClient(
    "placewright",
    "Placewright",
    {
      run: { module, transport: TransportKind.ipc },
      debug: { module, transport: TransportKind.ipc, options: { execArgv: ["--nolazy", "--inspect=6017"] } },
    },
    {
      documentSelector: scoreSelector(),
      outputChannel: output,
      // House rules are programs of the folder: the server runs them only where the folder is trusted.
      initializationOptions: () => ({ allowPlugins: vscode.workspace.isTrusted, panel: true }),
      // Findings are asked for at every change, not only when a text is opened.
      diagnosticPullOptions: { onChange: true, onSave: true, onFocus: true },
      middleware: middleware(whileReading, takeEdit),
    },
  );
  client.onDidChangeState(({ newState }) => {
    if (newState === State.Running) onStarted(client);
  });
  const settingsChange = vscode.workspace.onDidChangeConfiguration((event) => {
    if (event.affectsConfiguration("placewright")) refreshWhatIsShown(client);
  });
  const trust = vscode.workspace.onDidGrantWorkspaceTrust(() => void client.restart());
  output.info("The language server is started.");
  const dispose = client.dispose.bind(client);
  client.dispose = (timeout) => {
    settingsChange.dispose();
    trust.dispose();
    return dispose(timeout);
  };
  return client;
}

function middleware(whileReading: ScoreStatus["whileReading"], takeEdit: TakeEdit): Middleware {
  return {
    provideDiagnostics: (document, previous, token, next) =>
      whileReading(document instanceof vscode.Uri ? document : document.uri, async () =>
        next(document, previous, token),
      ),
    provideInlayHints: (document, range, token, next) =>
      isShown("notes", document) ? next(document, range, token) : [],
    provideCodeLenses: (document, token, next) => (isShown("bars", document) ? next(document, token) : []),
    workspace: {
      handleApplyEdit: async (params, next) => {
        const taken = takeEdit(params);
        if (taken !== undefined) return { applied: await taken };
        return next(params, new vscode.CancellationTokenSource().token);
      },
    },
  };
}

function isShown(what: "notes" | "bars", document: vscode.TextDocument): boolean {
  return vscode.workspace.getConfiguration("placewright", document).get(`${what}.show`, true);
}

function refreshWhatIsShown(client: LanguageClient): void {
  for (const document of vscode.workspace.textDocuments) {
    client.getFeature(InlayHintRequest.method)?.getProvider(document)?.onDidChangeInlayHints.fire();
    client.getFeature(CodeLensRequest.method)?.getProvider(document)?.onDidChangeCodeLensEmitter.fire();
  }
}

/**
 * MusicXML by its language, and XML whose name may hold a score: the server looks into those and keeps quiet about
 * the ones that are something else.
 */
function scoreSelector(): LanguageClientOptions["documentSelector"] {
  return scoreSchemes.flatMap((scheme) => [
    { scheme, language: "musicxml" },
    { scheme, language: "xml", pattern: "**/*.{musicxml,xml}" },
  ]);
}
