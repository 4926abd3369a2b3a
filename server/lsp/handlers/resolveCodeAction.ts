import { type CodeAction, ErrorCodes, ResponseError } from "vscode-languageserver/node";
import { fingerEdits, fixEdits, readFingerRequest, readFixRequest } from "../requestedEdits.ts";
import type { ServerState } from "../state.ts";
import { nothingToChange } from "../titles.ts";
import { toWorkspaceEdit } from "../workspaceEdit.ts";

/**
 * Finds the edit of a code action that the user chose.
 * @param tell shows the user a sentence when there is nothing to change.
 */
export function resolveCodeAction(
  state: ServerState,
  tell: (message: string) => void,
  action: CodeAction,
): CodeAction {
  const data = action.data as { readonly does?: unknown } | undefined;
  if (data?.does !== "fix" && data?.does !== "finger") {
    throw new ResponseError(ErrorCodes.InvalidParams, "This code action is not one of this server's.");
  }
  const { document, edits } =
    data.does === "fix" ? fixEdits(state, readFixRequest(data)) : fingerEdits(state, readFingerRequest(data));
  if (edits.length === 0) tell(nothingToChange(action.title));
  return { ...action, edit: toWorkspaceEdit(document, edits, state.features) };
}
