import {
  type CancellationToken,
  DocumentDiagnosticReportKind,
  LSPErrorCodes,
  ResponseError,
  type WorkspaceDiagnosticParams,
  type WorkspaceDiagnosticReport,
  type WorkspaceDocumentDiagnosticReport,
} from "vscode-languageserver/node";
import type { DiagnosticsFeed } from "../diagnosticsFeed.ts";
import type { ServerState } from "../state.ts";
import { resultIdOf } from "./diagnostic.ts";

/** The findings of all scores below the editor's folders: of those that are open as they stand in the editor. */
export async function workspaceDiagnostic(
  state: ServerState,
  feed: DiagnosticsFeed,
  params: WorkspaceDiagnosticParams,
  token: CancellationToken,
): Promise<WorkspaceDiagnosticReport> {
  const before = new Map((params.previousResultIds ?? []).map(({ uri, value }) => [uri, value]));
  const addresses = new Set(await state.storedScores.addresses(state.folders));
  for (const { uri } of state.documents()) addresses.add(uri);
  const items: WorkspaceDocumentDiagnosticReport[] = [];
  for (const uri of addresses) {
    // Reading a folder takes long: let other messages through between two scores.
    await new Promise((resolve) => setImmediate(resolve));
    if (token.isCancellationRequested)
      throw new ResponseError(LSPErrorCodes.RequestCancelled, "workspace/diagnostic was cancelled.");
    const report = await reportOf(state, feed, uri, before.get(uri));
    if (report) items.push(report);
    if (report || state.document(uri)) before.delete(uri);
  }
  // What the editor still shows of scores that have gone.
  for (const uri of before.keys())
    items.push({ kind: DocumentDiagnosticReportKind.Full, uri, version: null, items: [] });
  return { items };
}

/** Undefined for a file that has gone, and for a document that is being changed: it is asked about by itself. */
async function reportOf(
  state: ServerState,
  feed: DiagnosticsFeed,
  uri: string,
  known: string | undefined,
): Promise<WorkspaceDocumentDiagnosticReport | undefined> {
  const document = state.document(uri);
  const stored = document ? undefined : await feed.findStored(uri);
  const resultId = document ? resultIdOf(document) : stored?.resultId;
  const version = document?.version ?? null;
  if (resultId === undefined) return undefined;
  if (resultId === known) return { kind: DocumentDiagnosticReportKind.Unchanged, uri, version, resultId };
  const items = document ? await feed.find(document) : [...stored!.diagnostics];
  return items && { kind: DocumentDiagnosticReportKind.Full, uri, version, resultId, items };
}
