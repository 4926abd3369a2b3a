import { ErrorCodes, LSPErrorCodes, ResponseError } from "vscode-languageserver/node";
import { guardedText } from "../../../shared/musicxml/guard.ts";
import type { PanelChange, PanelChanged } from "../../../shared/protocol/panel.ts";
import { panelEdits } from "../../../shared/service/panelChange.ts";
import { analysisOf, readAcceptRequest } from "../requestedEdits.ts";
import type { ServerState } from "../state.ts";
import { acceptTitle } from "../titles.ts";
import { toWorkspaceEdit } from "../workspaceEdit.ts";
import { acceptFinding } from "./acceptFinding.ts";
import type { CommandClient } from "./executeCommand.ts";

/** Changes a document as the panel asks: one edit of the editor's, so one step to undo. */
export async function panelChange(
  state: ServerState,
  client: CommandClient,
  params: unknown,
): Promise<PanelChanged> {
  const { uri, version, change } = (params ?? {}) as Record<string, unknown>;
  if (
    typeof uri !== "string" ||
    typeof version !== "number" ||
    typeof change !== "object" ||
    change === null
  ) {
    throw new ResponseError(ErrorCodes.InvalidParams, 'The change needs "uri", "version" and "change".');
  }
  const document = state.documentAt(uri, version);
  const wanted = change as PanelChange;
  if (wanted.kind === "accept") {
    const { edits: count } = await acceptFinding(
      state,
      client,
      readAcceptRequest({ ...wanted, uri, version }),
    );
    return { label: acceptTitle, edits: count };
  }
  const { label, edits, permission } = panelEdits(analysisOf(document), wanted);
  if (edits.length === 0) return { label, edits: 0 };
  guardedText(document.text, edits, permission);
  const edit = toWorkspaceEdit(document, edits, state.features);
  const { applied, failureReason } = await client.applyEdit({ label, edit });
  if (!applied) {
    throw new ResponseError(
      LSPErrorCodes.RequestFailed,
      `${label}: the editor did not apply it${failureReason ? `: ${failureReason}` : "."}`,
    );
  }
  return { label, edits: edits.length };
}
