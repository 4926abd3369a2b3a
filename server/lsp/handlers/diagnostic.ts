import {
  type DocumentDiagnosticParams,
  type DocumentDiagnosticReport,
  DocumentDiagnosticReportKind,
  LSPErrorCodes,
  ResponseError,
} from "vscode-languageserver/node";
import type { DiagnosticsFeed } from "../diagnosticsFeed.ts";
import type { OpenDocument, ServerState } from "../state.ts";

/** The findings of a document for an editor that asks for them; those of a text that has changed since are dropped. */
export async function diagnostic(
  state: ServerState,
  feed: DiagnosticsFeed,
  params: DocumentDiagnosticParams,
): Promise<DocumentDiagnosticReport> {
  // Changes that have come in meanwhile are taken in first.
  await new Promise((resolve) => setImmediate(resolve));
  const document = state.document(params.textDocument.uri);
  if (!document) return { kind: DocumentDiagnosticReportKind.Full, items: [] };
  const resultId = resultIdOf(document);
  if (params.previousResultId === resultId) return { kind: DocumentDiagnosticReportKind.Unchanged, resultId };
  const items = await feed.find(document);
  // House rules may have been asked on the way.
  if (items) return { kind: DocumentDiagnosticReportKind.Full, resultId: resultIdOf(document), items };
  throw new ResponseError(LSPErrorCodes.ServerCancelled, "The text has changed since. Ask again.", {
    retriggerRequest: true,
  });
}

/** Changes when the text or its settings do. */
export function resultIdOf(document: OpenDocument): string {
  return `${document.version} ${document.readings}`;
}
