import { type CodeAction, ErrorCodes, ResponseError } from "vscode-languageserver/node";
import {
  fingerEdits,
  fixAllEdits,
  fixEdits,
  type RequestedEdits,
  readFingerRequest,
  readFixAllRequest,
  readFixRequest,
} from "../requestedEdits.ts";
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
  const { document, edits } = requested(state, action.data);
  if (edits.length === 0) tell(nothingToChange(action.title));
  return { ...action, edit: toWorkspaceEdit(document, edits, state.features) };
}

function requested(state: ServerState, data: unknown): RequestedEdits {
  switch ((data as { readonly does?: unknown } | undefined)?.does) {
    case "fix":
      return fixEdits(state, readFixRequest(data));
    case "fixAll":
      return fixAllEdits(state, readFixAllRequest(data));
    case "finger":
      return fingerEdits(state, readFingerRequest(data));
    default:
      throw new ResponseError(ErrorCodes.InvalidParams, "This code action is not one of this server's.");
  }
}
