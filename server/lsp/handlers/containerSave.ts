import { fileURLToPath } from "node:url";
import { ErrorCodes, ResponseError } from "vscode-languageserver/node";
import { guardedReplacement } from "../../../shared/musicxml/guardTexts.ts";
import { decodeScoreFile, encodeScoreFile } from "../../../shared/musicxml/scoreFile.ts";
import type { SaveContainerRequest, SavedContainer } from "../../../shared/protocol/container.ts";
import { replaceFile } from "../../files/replaceFile.ts";

/**
 * Puts a score's text into its container and writes that to a file.
 * @throws InputError when more than fingering and brackets would change, or the file cannot be written or was changed
 *         by another program meanwhile; the file is then as it was.
 */
export async function containerSave(params: unknown): Promise<SavedContainer> {
  const { uri, container, text, replaces } = readRequest(params);
  const asRead = Buffer.from(container, "base64");
  const file = decodeScoreFile(asRead);
  const bytes = encodeScoreFile(file, guardedReplacement(file.text, text));
  await replaceFile(fileURLToPath(uri), bytes, replaces ? asRead : undefined);
  return { bytes: Buffer.from(bytes).toString("base64") };
}

function readRequest(params: unknown): SaveContainerRequest {
  const { uri, container, text, replaces } = (params ?? {}) as Record<string, unknown>;
  if (typeof uri !== "string" || !uri.startsWith("file:"))
    throw new ResponseError(ErrorCodes.InvalidParams, 'Saving needs "uri", the address of a file on a disk.');
  if (typeof container !== "string" || typeof text !== "string" || typeof replaces !== "boolean")
    throw new ResponseError(
      ErrorCodes.InvalidParams,
      'Saving needs "container" and "text", and "replaces" said.',
    );
  return { uri, container, text, replaces };
}
