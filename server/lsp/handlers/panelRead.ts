import { ErrorCodes, ResponseError } from "vscode-languageserver/node";
import type { PanelAnswer } from "../../../shared/protocol/panel.ts";
import { panelReading } from "../../../shared/service/panelScore.ts";
import { analysisOf } from "../requestedEdits.ts";
import type { ServerState } from "../state.ts";

/** What the panel shows of a document as it stands. */
export function panelRead(state: ServerState, params: { readonly uri?: unknown }): PanelAnswer {
  const document = typeof params?.uri === "string" ? state.document(params.uri) : undefined;
  if (!document)
    throw new ResponseError(ErrorCodes.InvalidParams, `${String(params?.uri)} is not open. Open it first.`);
  return { version: document.version, reading: panelReading(analysisOf(document)) };
}
