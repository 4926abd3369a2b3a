import { ErrorCodes, ResponseError } from "vscode-languageserver/node";
import type { Analysis } from "../../shared/service/analyse.ts";
import { analysisOf } from "./requestedEdits.ts";
import type { ServerState } from "./state.ts";

/**
 * A question of the panel about one note, and the reading that it is about.
 * @throws ResponseError when something is missing from it or the text has changed since.
 */
export function panelQuestion(state: ServerState, params: unknown): { analysis: Analysis; note: string } {
  const { uri, version, note } = (params ?? {}) as Record<string, unknown>;
  if (typeof uri !== "string" || typeof version !== "number" || typeof note !== "string") {
    throw new ResponseError(ErrorCodes.InvalidParams, 'The question needs "uri", "version" and "note".');
  }
  return { analysis: analysisOf(state.documentAt(uri, version)), note };
}
