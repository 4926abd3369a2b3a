import { pathToFileURL } from "node:url";
import { ErrorCodes, LSPErrorCodes, ResponseError, type WorkspaceEdit } from "vscode-languageserver/node";
import { TextDocument } from "vscode-languageserver-textdocument";
import type { AcceptRequest } from "../../shared/protocol/commands.ts";
import { acceptanceEdits } from "../../shared/service/acceptance.ts";
import { plainReason } from "../../shared/service/acceptedFile.ts";
import type { Edit } from "../../shared/text/edits.ts";
import type { AcceptedPlace } from "../files/settingsFiles.ts";
import { Converter } from "./convert.ts";
import { analysisOf } from "./requestedEdits.ts";
import type { ServerState } from "./state.ts";

/** What accepting a finding changes in the file of accepted findings. */
export interface Acceptance {
  readonly place: AcceptedPlace;
  readonly edits: readonly Edit[];
}

/**
 * The edits that mark a finding, or all of its rule, as intended.
 * @throws ResponseError when the text has changed, or has no such finding, or lies in no folder.
 * @throws InputError when the file of accepted findings cannot be added to.
 */
export function acceptanceOf(state: ServerState, request: AcceptRequest): Acceptance {
  const document = state.documentAt(request.uri, request.version, request.reading);
  const analysis = analysisOf(document);
  const finding = analysis.findings[request.finding];
  if (!finding) throw new ResponseError(ErrorCodes.InvalidParams, "There is no such finding.");
  // Read anew: it may have been saved since the score was read.
  const place = state.acceptedPlace(request.uri);
  if (!place)
    throw new ResponseError(
      LSPErrorCodes.RequestFailed,
      "What is intended is noted in a file beside the score. Save the score in a folder first.",
    );
  const meant = request.all ? analysis.findings.filter(({ rule }) => rule === finding.rule) : [finding];
  return { place, edits: acceptanceEdits(analysis, meant, place, request.reason ?? plainReason) };
}

/** The same as an edit that the editor makes, so that it can be undone there. */
export function acceptanceEdit(state: ServerState, { place, edits }: Acceptance): WorkspaceEdit {
  const open = state.acceptedDocuments.identifierOf(place.path);
  const uri = open?.uri ?? pathToFileURL(place.path).href;
  const convert = new Converter(
    TextDocument.create(uri, "json", 0, place.text ?? ""),
    state.features.positionEncoding,
  );
  return {
    documentChanges: [
      ...(place.text === undefined
        ? [{ kind: "create" as const, uri, options: { ignoreIfExists: true } }]
        : []),
      {
        textDocument: { uri, version: open?.version ?? null },
        edits: edits.map(({ span, text }) => ({ range: convert.range(span), newText: text })),
      },
    ],
  };
}
