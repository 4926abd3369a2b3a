import {
  type CancellationToken,
  type CodeAction,
  ErrorCodes,
  ResponseError,
} from "vscode-languageserver/node";
import { acceptanceEdit, acceptanceOf } from "../acceptance.ts";
import type { EditWork } from "../editThread.ts";
import {
  fingerEdits,
  fixAllEdits,
  fixEdits,
  type RequestedEdits,
  readAcceptRequest,
  readFingerRequest,
  readFixAllRequest,
  readFixRequest,
  readWriteMarksRequest,
  unseenWork,
  writeMarksEdits,
} from "../requestedEdits.ts";
import type { ServerState } from "../state.ts";
import { nothingToChange } from "../titles.ts";
import { toWorkspaceEdit } from "../workspaceEdit.ts";
import type { CodeActionData } from "./codeAction.ts";

/**
 * Finds the edit of a code action that the user chose.
 * @param tell shows the user a sentence when there is nothing to change.
 */
export async function resolveCodeAction(
  state: ServerState,
  tell: (message: string) => void,
  action: CodeAction,
  token: CancellationToken,
): Promise<CodeAction> {
  // Editors ask about every action that has no edit, also about those that are commands.
  if (action.data === undefined && action.command) return action;
  if ((action.data as Partial<CodeActionData> | undefined)?.does === "accept") {
    const acceptance = acceptanceOf(state, readAcceptRequest(action.data));
    return { ...action, edit: acceptanceEdit(state, acceptance) };
  }
  const onCancelled: EditWork["onCancelled"] = (end) => void token.onCancellationRequested(end);
  const { document, edits, remark } = await requested(state, action.data, { ...unseenWork, onCancelled });
  if (edits.length === 0) tell(nothingToChange(action.title));
  else if (remark) tell(remark);
  return { ...action, edit: toWorkspaceEdit(document, edits, state.features) };
}

async function requested(state: ServerState, data: unknown, work: EditWork): Promise<RequestedEdits> {
  switch ((data as { readonly does?: unknown } | undefined)?.does) {
    case "fix":
      return fixEdits(state, readFixRequest(data), work);
    case "fixAll":
      return fixAllEdits(state, readFixAllRequest(data), work);
    case "finger":
      return fingerEdits(state, readFingerRequest(data), work);
    case "writeMarks":
      return writeMarksEdits(state, readWriteMarksRequest(data));
    default:
      throw new ResponseError(ErrorCodes.InvalidParams, "This code action is not one of this server's.");
  }
}
