import { ErrorCodes, LSPErrorCodes, ResponseError } from "vscode-languageserver/node";
import { guardedText, type Permission } from "../../shared/musicxml/guard.ts";
import type {
  AcceptRequest,
  FingerRequest,
  FixAllRequest,
  FixRequest,
  TextPosition,
} from "../../shared/protocol/commands.ts";
import type { Fix } from "../../shared/rules/define.ts";
import type { Analysis } from "../../shared/service/analyse.ts";
import { writeMechanismMarks } from "../../shared/service/mechanismMarks.ts";
import type { Edit } from "../../shared/text/edits.ts";
import type { EditWork } from "./editThread.ts";
import { longText, type OpenDocument, type ServerState } from "./state.ts";
import type { EditingWork } from "./threadWork.ts";

/** Edits that change nothing but fingering and brackets, and the document, at the version, that they are for. */
export interface RequestedEdits {
  readonly document: OpenDocument;
  readonly edits: readonly Edit[];
  /** What a person is told with them. */
  readonly remark?: string;
}

/** For an editor that neither sees the work nor can call it off. */
export const unseenWork: EditWork = { stage: () => {}, onCancelled: () => {} };

/** @throws ResponseError or InputError when the text has changed or has nothing to finger there. */
export function fingerEdits(
  state: ServerState,
  request: FingerRequest,
  work: EditWork,
): Promise<RequestedEdits> {
  const document = state.documentAt(request.uri, request.version);
  const offset = document.convert.offset(request.position);
  const { scope, mode } = request;
  return foundBeside(state, document, { does: "finger", offset, scope, mode }, work);
}

/** @throws ResponseError when the text has changed or has no such fix. */
export async function fixEdits(
  state: ServerState,
  request: FixRequest,
  work: EditWork,
): Promise<RequestedEdits> {
  const document = state.documentAt(request.uri, request.version);
  const wanted = fixOf(state, request);
  const { finding, fix } = request;
  if (document.text.length < longText)
    return { ...guarded(document, wanted.edits(), wanted.permission), remark: wanted.remark?.() };
  return foundBeside(state, document, { does: "fix", finding, fix }, work);
}

/** @throws ResponseError when the text has changed or has no such fix. */
export function fixOf(state: ServerState, { uri, version, finding, fix, reading }: FixRequest): Fix {
  const found = analysisOf(state.documentAt(uri, version, reading)).findings[finding]?.fixes[fix];
  if (!found) throw new ResponseError(ErrorCodes.InvalidParams, "There is no such fix.");
  return found;
}

/** @throws ResponseError when the text has changed. */
export function fixAllEdits(
  state: ServerState,
  { uri, version, choice }: FixAllRequest,
  work: EditWork,
): Promise<RequestedEdits> {
  return foundBeside(state, state.documentAt(uri, version), { does: "fixAll", choice }, work);
}

/**
 * Marks of pedals or levers that are not written yet: found at once, without a search.
 * @throws ResponseError or InputError when the text has changed, or no harp is named.
 */
export function writeMarksEdits(
  state: ServerState,
  { uri, version }: { readonly uri: string; readonly version: number },
): RequestedEdits {
  const document = state.documentAt(uri, version);
  return guarded(document, writeMechanismMarks(analysisOf(document)).edits, "mechanism marks added");
}

/**
 * Edits that take a search, found beside the message loop.
 * @throws ResponseError when they are called off, or the text has changed before they were found.
 */
async function foundBeside(
  state: ServerState,
  document: OpenDocument,
  edits: EditingWork,
  work: EditWork,
): Promise<RequestedEdits> {
  const { uri, version, text, settings } = document;
  if (!document.isMusicXml) throw notAScore(document);
  const found = await state.editThread.run({ uri, text, settings, work: edits }, work);
  if (!found)
    throw new ResponseError(LSPErrorCodes.RequestCancelled, "It was called off; nothing was changed.");
  return { document: state.documentAt(uri, version), ...found };
}

/** @throws GuardError when the edits would change anything else. */
function guarded(
  document: OpenDocument,
  edits: readonly Edit[],
  permission: Permission | undefined,
): RequestedEdits {
  guardedText(document.text, edits, permission);
  return { document, edits };
}

/** The reading of a document. @throws ResponseError when it is no score. */
export function analysisOf(document: OpenDocument): Analysis {
  const { analysis } = document;
  if (!analysis) throw notAScore(document);
  return analysis;
}

function notAScore({ uri }: OpenDocument): ResponseError<void> {
  return new ResponseError(LSPErrorCodes.RequestFailed, `${uri} is not a MusicXML score.`);
}

const scopes: ReadonlySet<unknown> = new Set(["placing", "bar", "hand", "score"]);

/** @throws ResponseError naming what is missing from a command's argument. */
export function readFingerRequest(argument: unknown): FingerRequest {
  const { uri, scope, position, mode, version } = fields(argument);
  if (typeof uri !== "string") throw wrong("uri", "a document's address");
  if (!scopes.has(scope)) throw wrong("scope", "placing, bar, hand or score");
  if (mode !== "keep" && mode !== "fresh") throw wrong("mode", "keep or fresh");
  if (!Number.isInteger(version)) throw wrong("version", "the document's version");
  if (!isPosition(position)) throw wrong("position", "a line and a character, from 0");
  return { uri, scope: scope as FingerRequest["scope"], position, mode, version: version as number };
}

/** @throws ResponseError naming what is missing. */
export function readWriteMarksRequest(argument: unknown): { readonly uri: string; readonly version: number } {
  const { uri, version } = fields(argument);
  if (typeof uri !== "string") throw wrong("uri", "a document's address");
  if (!Number.isInteger(version)) throw wrong("version", "the document's version");
  return { uri, version: version as number };
}

/** @throws ResponseError naming what is missing from a command's argument. */
export function readFixRequest(argument: unknown): FixRequest {
  const { uri, version, finding, fix, reading } = fields(argument);
  if (typeof uri !== "string") throw wrong("uri", "a document's address");
  for (const [name, value] of Object.entries({ version, finding, fix })) {
    if (!Number.isInteger(value)) throw wrong(name, "a whole number");
  }
  return {
    uri,
    version: version as number,
    finding: finding as number,
    fix: fix as number,
    reading: readReading(reading),
  };
}

/** @throws ResponseError naming what is missing from a command's argument. */
export function readAcceptRequest(argument: unknown): AcceptRequest {
  const { uri, version, finding, reason, reading, all } = fields(argument);
  if (typeof uri !== "string") throw wrong("uri", "a document's address");
  for (const [name, value] of Object.entries({ version, finding })) {
    if (!Number.isInteger(value)) throw wrong(name, "a whole number");
  }
  const numbers = { version: version as number, finding: finding as number };
  if (all !== undefined && typeof all !== "boolean") throw wrong("all", "true or false, or nothing");
  const request = { uri, ...numbers, all, reading: readReading(reading) };
  if (reason === undefined) return request;
  if (typeof reason !== "string" || reason.trim() === "") throw wrong("reason", "some words, or nothing");
  return { ...request, reason };
}

/** @throws ResponseError naming what is missing from a command's argument. */
export function readFixAllRequest(argument: unknown): FixAllRequest {
  const { uri, version, choice } = fields(argument);
  if (typeof uri !== "string") throw wrong("uri", "a document's address");
  if (!Number.isInteger(version)) throw wrong("version", "the document's version");
  if (choice === "safe") return { uri, version: version as number, choice };
  const { rule, title } = (choice ?? {}) as Record<string, unknown>;
  if (typeof rule !== "string" || typeof title !== "string")
    throw wrong("choice", '"safe", or a rule and the title of its repair');
  return { uri, version: version as number, choice: { rule, title } };
}

function readReading(reading: unknown): number | undefined {
  if (reading !== undefined && !Number.isInteger(reading))
    throw wrong("reading", "a whole number, or nothing");
  return reading as number | undefined;
}

function fields(argument: unknown): Record<string, unknown> {
  if (typeof argument === "object" && argument !== null) return argument as Record<string, unknown>;
  throw new ResponseError(ErrorCodes.InvalidParams, "The command needs one argument, an object.");
}

function wrong(field: string, wanted: string): ResponseError<void> {
  return new ResponseError(ErrorCodes.InvalidParams, `The command's argument needs "${field}": ${wanted}.`);
}

function isPosition(value: unknown): value is TextPosition {
  const { line, character } = (value ?? {}) as { line?: unknown; character?: unknown };
  return Number.isInteger(line) && Number.isInteger(character);
}
