import { LSPErrorCodes, ResponseError } from "vscode-languageserver/node";
import type { AcceptRequest, CommandResult } from "../../../shared/protocol/commands.ts";
import { applyEdits } from "../../../shared/text/edits.ts";
import { replaceFile } from "../../files/replaceFile.ts";
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
    const before = place.text;
    const bytes = Buffer.from(applyEdits(before ?? "", edits));
    await replaceFile(place.path, bytes, before === undefined ? undefined : Buffer.from(before));
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
