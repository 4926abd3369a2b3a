import {
  type CancellationToken,
  DocumentDiagnosticReportKind,
  LSPErrorCodes,
  ResponseError,
  type WorkspaceDiagnosticParams,
  type WorkspaceDiagnosticReport,
  type WorkspaceDocumentDiagnosticReport,
} from "vscode-languageserver/node";
import { diagnosticsOf } from "../diagnostics.ts";
import type { ServerState } from "../state.ts";
import { resultIdOf } from "./diagnostic.ts";

/** The findings of all scores below the editor's folders: of those that are open as they stand in the editor. */
export async function workspaceDiagnostic(
  state: ServerState,
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
    const found = await reportOf(state, uri);
    if (!found) continue;
    const { resultId, version } = found;
    items.push(
      before.get(uri) === resultId
        ? { kind: DocumentDiagnosticReportKind.Unchanged, uri, version, resultId }
        : { kind: DocumentDiagnosticReportKind.Full, uri, version, resultId, items: found.items() },
    );
    before.delete(uri);
  }
  // What the editor still shows of scores that have gone.
  for (const uri of before.keys())
    items.push({ kind: DocumentDiagnosticReportKind.Full, uri, version: null, items: [] });
  return { items };
}

async function reportOf(state: ServerState, uri: string) {
  const document = state.document(uri);
  if (document) {
    const items = () => diagnosticsOf(document, state.features);
    return { resultId: resultIdOf(document), version: document.version, items };
  }
  const stored = await state.storedScores.findings(uri, state.features);
  return stored && { resultId: stored.resultId, version: null, items: () => [...stored.diagnostics] };
}
