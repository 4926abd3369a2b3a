import {
  type ApplyWorkspaceEditParams,
  type ApplyWorkspaceEditResult,
  type CancellationToken,
  ErrorCodes,
  type ExecuteCommandParams,
  LSPErrorCodes,
  ResponseError,
  type WorkDoneProgressParams,
} from "vscode-languageserver/node";
import {
  acceptCommand,
  type CommandResult,
  fingerCommand,
  fixAllCommand,
  fixCommand,
} from "../../../shared/protocol/commands.ts";
import type { EditWork } from "../editThread.ts";
import {
  fingerEdits,
  fixAllEdits,
  fixEdits,
  fixOf,
  type RequestedEdits,
  readAcceptRequest,
  readFingerRequest,
  readFixAllRequest,
  readFixRequest,
} from "../requestedEdits.ts";
import type { ServerState } from "../state.ts";
import { fingerTitle, fixAllTitle, fixRuleTitle, nothingToChange } from "../titles.ts";
import { toWorkspaceEdit } from "../workspaceEdit.ts";
import { acceptFinding } from "./acceptFinding.ts";

/** What a command needs of the editor. */
export interface CommandClient {
  applyEdit(params: ApplyWorkspaceEditParams): Promise<ApplyWorkspaceEditResult>;
  tell(message: string): void;
  /** A file of accepted findings was changed: what the editor shows of scores may be old. */
  acceptedChanged(): void;
  /**
   * Shows that something is being done, where the editor can show it. Resolves, once the editor has had the chance to
   * answer, with what tells that it is done.
   */
  begin(title: string, params: WorkDoneProgressParams, token: CancellationToken): Promise<RunningWork>;
}

/** Work that the user may see and call off. */
export interface RunningWork extends EditWork {
  readonly isCancelled: () => boolean;
  done(): void;
}

export async function executeCommand(
  state: ServerState,
  client: CommandClient,
  params: ExecuteCommandParams,
  token: CancellationToken,
): Promise<CommandResult> {
  if (params.command === acceptCommand)
    return acceptFinding(state, client, readAcceptRequest(params.arguments?.[0]));
  const { label, find } = requested(state, params);
  const work = await client.begin(label, params, token);
  try {
    refuseIfCancelled(work, label);
    const { document, edits, remark } = await find(work);
    refuseIfCancelled(work, label);
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
    const version = document.version;
    const edit = toWorkspaceEdit(document, edits, state.features);
    state.documentAt(document.uri, version);
    const { applied, failureReason } = await client.applyEdit({ label, edit });
    if (!applied)
      client.tell(`${label}: the editor did not apply it${failureReason ? `: ${failureReason}` : "."}`);
    else if (remark) client.tell(remark);
    return { applied, edits: edits.length };
  } finally {
    work.done();
  }
}

function refuseIfCancelled(work: RunningWork, label: string): void {
  if (work.isCancelled())
    throw new ResponseError(
      LSPErrorCodes.RequestCancelled,
      `${label}: it was called off; nothing was changed.`,
    );
}

interface Requested {
  /** What the editor calls it in its list of what can be undone. */
  readonly label: string;
  find(work: EditWork): Promise<RequestedEdits>;
}

function requested(state: ServerState, params: ExecuteCommandParams): Requested {
  const argument = params.arguments?.[0];
  switch (params.command) {
    case fingerCommand: {
      const request = readFingerRequest(argument);
      return { label: fingerTitle(request), find: (work) => fingerEdits(state, request, work) };
    }
    case fixCommand: {
      const request = readFixRequest(argument);
      return { label: fixOf(state, request).title, find: (work) => fixEdits(state, request, work) };
    }
    case fixAllCommand: {
      const request = readFixAllRequest(argument);
      const label = request.choice === "safe" ? fixAllTitle : fixRuleTitle(request.choice.title);
      return { label, find: (work) => fixAllEdits(state, request, work) };
    }
    default:
      throw new ResponseError(ErrorCodes.InvalidParams, `There is no command ${params.command}.`);
  }
}
