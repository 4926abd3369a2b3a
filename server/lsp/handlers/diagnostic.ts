import {
  type DocumentDiagnosticParams,
  type DocumentDiagnosticReport,
  DocumentDiagnosticReportKind,
  LSPErrorCodes,
  ResponseError,
} from "vscode-languageserver/node";
import { diagnosticsOf } from "../diagnostics.ts";
import type { DiagnosticsFeed } from "../diagnosticsFeed.ts";
import type { OpenDocument, ServerState } from "../state.ts";

/**
 * The findings of a document for an editor that asks for them. Changes that have come in meanwhile are taken in first:
 * findings of an older text are of no use to anybody.
 */
export async function diagnostic(
  state: ServerState,
  feed: DiagnosticsFeed,
  params: DocumentDiagnosticParams,
): Promise<DocumentDiagnosticReport> {
  const { uri } = params.textDocument;
  const asked = state.document(uri)?.version;
  await new Promise((resolve) => setImmediate(resolve));
  const document = state.document(uri);
  if (!document) return { kind: DocumentDiagnosticReportKind.Full, items: [] };
  if (document.version !== asked) {
    throw new ResponseError(LSPErrorCodes.ServerCancelled, "The text has changed since. Ask again.", {
      retriggerRequest: true,
    });
  }
  const resultId = resultIdOf(document);
  if (params.previousResultId === resultId) return { kind: DocumentDiagnosticReportKind.Unchanged, resultId };
  const items = diagnosticsOf(document, state.features);
  feed.showSettings(document);
  return { kind: DocumentDiagnosticReportKind.Full, resultId, items };
}

/** Changes when the text or its settings do. */
export function resultIdOf(document: OpenDocument): string {
  return `${document.version} ${document.readings}`;
}
