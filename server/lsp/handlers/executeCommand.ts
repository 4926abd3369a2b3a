import {
  type ApplyWorkspaceEditParams,
  type ApplyWorkspaceEditResult,
  ErrorCodes,
  type ExecuteCommandParams,
  LSPErrorCodes,
  ResponseError,
} from "vscode-languageserver/node";
import { type CommandResult, fingerCommand, fixCommand } from "../../../shared/protocol/commands.ts";
import {
  fingerEdits,
  fixEdits,
  type RequestedEdits,
  readFingerRequest,
  readFixRequest,
} from "../requestedEdits.ts";
import type { ServerState } from "../state.ts";
import { toWorkspaceEdit } from "../workspaceEdit.ts";
import { nothingToChange } from "./resolveCodeAction.ts";

/** What a command needs of the editor. */
export interface CommandClient {
  applyEdit(params: ApplyWorkspaceEditParams): Promise<ApplyWorkspaceEditResult>;
  tell(message: string): void;
}

export async function executeCommand(
  state: ServerState,
  client: CommandClient,
  params: ExecuteCommandParams,
): Promise<CommandResult> {
  const { label, document, edits } = requested(state, params);
  if (!state.features.appliesEdits) {
    throw new ResponseError(
      LSPErrorCodes.RequestFailed,
      "This editor does not apply edits that a command asks for (workspace/applyEdit).",
    );
  }
  if (edits.length === 0) {
    client.tell(nothingToChange(label));
    return { applied: false, edits: 0 };
  }
  const edit = toWorkspaceEdit(document, edits, state.features);
  const { applied, failureReason } = await client.applyEdit({ label, edit });
  if (!applied)
    client.tell(`${label}: the editor did not apply it${failureReason ? `: ${failureReason}` : "."}`);
  return { applied, edits: edits.length };
}

function requested(state: ServerState, params: ExecuteCommandParams): RequestedEdits & { label: string } {
  const argument = params.arguments?.[0];
  switch (params.command) {
    case fingerCommand:
      return { label: "Finger", ...fingerEdits(state, readFingerRequest(argument)) };
    case fixCommand:
      return { label: "Fix", ...fixEdits(state, readFixRequest(argument)) };
    default:
      throw new ResponseError(ErrorCodes.InvalidParams, `There is no command ${params.command}.`);
  }
}
