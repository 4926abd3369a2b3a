import type { DefinitionParams, Location, ReferenceParams } from "vscode-languageserver/node";
import { type PassagePlace, passagePlaces } from "../../../shared/service/passagePlaces.ts";
import type { ServerState } from "../state.ts";

/** The other places of the passage, and this one where the editor wants the declaration too. */
export function references(state: ServerState, params: ReferenceParams): Location[] {
  return locations(state, params, ({ isHere }) => params.context?.includeDeclaration === true || !isHere);
}

/** Where the passage stands first. */
export function definition(state: ServerState, params: DefinitionParams): Location[] {
  return locations(state, params, ({ isFirst }) => isFirst);
}

function locations(
  state: ServerState,
  params: DefinitionParams,
  wanted: (place: PassagePlace) => boolean,
): Location[] {
  const document = state.document(params.textDocument.uri);
  const analysis = document?.analysis;
  if (!document || !analysis) return [];
  return passagePlaces(analysis, document.convert.offset(params.position))
    .filter(wanted)
    .map(({ span }) => ({ uri: document.uri, range: document.convert.range(span) }));
}
