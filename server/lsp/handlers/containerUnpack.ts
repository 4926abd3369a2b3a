import { ErrorCodes, ResponseError } from "vscode-languageserver/node";
import { decodeScoreFile } from "../../../shared/musicxml/scoreFile.ts";
import type { UnpackedScore } from "../../../shared/protocol/container.ts";

/** The text of a score file. @throws InputError when the bytes are no score. */
export function containerUnpack(params: unknown): UnpackedScore {
  const { bytes } = (params ?? {}) as Record<string, unknown>;
  if (typeof bytes !== "string")
    throw new ResponseError(ErrorCodes.InvalidParams, 'The question needs "bytes".');
  return { text: decodeScoreFile(Buffer.from(bytes, "base64")).text };
}
