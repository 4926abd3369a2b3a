import type { WorkspaceEdit } from "vscode-languageserver/node";
import type { Edit } from "../../shared/text/edits.ts";
import type { ClientFeatures } from "./features.ts";
import type { OpenDocument } from "./state.ts";

/** Edits of one document for the editor, tied to the version that they were made for where it understands that. */
export function toWorkspaceEdit(
  document: OpenDocument,
  edits: readonly Edit[],
  features: ClientFeatures,
): WorkspaceEdit {
  const textEdits = edits.map((edit) => ({
    range: document.convert.range(edit.span),
    newText: edit.text,
  }));
  if (!features.versionedEdits) return { changes: { [document.uri]: textEdits } };
  const textDocument = { uri: document.uri, version: document.version };
  return { documentChanges: [{ textDocument, edits: textEdits }] };
}
