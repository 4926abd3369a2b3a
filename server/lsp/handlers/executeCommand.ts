import {
  type ApplyWorkspaceEditParams,
  type ApplyWorkspaceEditResult,
  ErrorCodes,
  type ExecuteCommandParams,
  LSPErrorCodes,
  ResponseError,
} from "vscode-languageserver/node";
import {
  type CommandResult,
  type FingerRequest,
  type FixRequest,
  fingerCommand,
  fixCommand,
} from "../../../shared/protocol/commands.ts";
import {
  fingerEdits,
  fixEdits,
  type RequestedEdits,
  readFingerRequest,
  readFixRequest,
} from "../requestedEdits.ts";
import type { ServerState } from "../state.ts";
import { fingerTitle, nothingToChange } from "../titles.ts";
import { toWorkspaceEdit } from "../workspaceEdit.ts";

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

interface Requested extends RequestedEdits {
  /** What the editor calls it in its list of what can be undone. */
  readonly label: string;
}

function requested(state: ServerState, params: ExecuteCommandParams): Requested {
  const argument = params.arguments?.[0];
  switch (params.command) {
    case fingerCommand:
      return requestedFingering(state, readFingerRequest(argument));
    case fixCommand:
      return requestedFix(state, readFixRequest(argument));
    default:
      throw new ResponseError(ErrorCodes.InvalidParams, `There is no command ${params.command}.`);
  }
}

function requestedFingering(state: ServerState, request: FingerRequest): Requested {
  return { label: fingerTitle(request), ...fingerEdits(state, request) };
}

function requestedFix(state: ServerState, request: FixRequest): Requested {
  const requested = fixEdits(state, request);
  return { label: requested.title, ...requested };
}
