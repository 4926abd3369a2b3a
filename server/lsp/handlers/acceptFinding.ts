import { LSPErrorCodes, ResponseError } from "vscode-languageserver/node";
import type { AcceptRequest, CommandResult } from "../../../shared/protocol/commands.ts";
import { editAcceptedFile } from "../../files/editAcceptedFile.ts";
import { acceptanceEdit, acceptanceOf } from "../acceptance.ts";
import type { ServerState } from "../state.ts";
import { acceptTitle } from "../titles.ts";
import type { CommandClient } from "./executeCommand.ts";

/** Marks a finding as intended: through the editor where it can edit other files, else on the disk. */
export async function acceptFinding(
  state: ServerState,
  client: CommandClient,
  request: AcceptRequest,
): Promise<CommandResult> {
  const acceptance = acceptanceOf(state, request);
  const { place, edits } = acceptance;
  if (!state.features.editsOtherFiles) {
    await editAcceptedFile(place, edits);
    client.acceptedChanged();
    return { applied: true, edits: edits.length };
  }
  const edit = acceptanceEdit(state, acceptance);
  const { applied, failureReason } = await client.applyEdit({ label: acceptTitle, edit });
  if (!applied)
    throw new ResponseError(
      LSPErrorCodes.RequestFailed,
      `${acceptTitle}: the editor did not apply it${failureReason ? `: ${failureReason}` : "."}`,
    );
  return { applied, edits: edits.length };
}
