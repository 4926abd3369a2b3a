import {
  type CodeAction,
  CodeActionKind,
  type CodeActionParams,
  type Command,
} from "vscode-languageserver/node";
import {
  type AcceptRequest,
  acceptCommand,
  type FingerMode,
  type FingerRequest,
  type FixAllRequest,
  type FixRequest,
  fingerCommand,
  fixAllCommand,
  fixCommand,
} from "../../../shared/protocol/commands.ts";
import type { Analysis } from "../../../shared/service/analyse.ts";
import { type ScopeAt, scopesAt } from "../../../shared/service/fingerAt.ts";
import { countFixes, type FixChoice } from "../../../shared/service/fixAll.ts";
import { findingsAt, fixesAt, type OfferedFix } from "../../../shared/service/fixesAt.ts";
import { findingDiagnostic } from "../diagnostics.ts";
import { fingerEdits, fixAllEdits, fixEdits, unseenWork, writeMarksEdits } from "../requestedEdits.ts";
import type { OpenDocument, ServerState } from "../state.ts";
import {
  acceptRuleTitle,
  acceptTitle,
  fingerTitle,
  fixAllTitle,
  fixRuleTitle,
  writeMarksTitle,
} from "../titles.ts";
import { toWorkspaceEdit } from "../workspaceEdit.ts";

/** What a code action carries until its edit is asked for. */
export type CodeActionData =
  | ({ readonly does: "fix" } & FixRequest)
  | ({ readonly does: "fixAll" } & FixAllRequest)
  | ({ readonly does: "finger" } & FingerRequest)
  | { readonly does: "writeMarks"; readonly uri: string; readonly version: number }
  | ({ readonly does: "accept" } & AcceptRequest);

/** The fixes of the findings at a place, alone and for the whole file, then what can be fingered there. */
export async function codeAction(
  state: ServerState,
  params: CodeActionParams,
): Promise<(CodeAction | Command)[]> {
  const document = state.document(params.textDocument.uri);
  const analysis = document?.analysis;
  const { codeActionLiterals, appliesEdits } = state.features;
  if (!document || !analysis || (!codeActionLiterals && !appliesEdits)) return [];
  const place = document.convert.span(params.range);
  const actions: (CodeAction | Command)[] = [];
  if (isWanted(CodeActionKind.QuickFix, params.context.only)) {
    const fixes = fixesAt(analysis, place);
    for (const offered of fixes) actions.push(...(await fixAction(state, document, offered)));
    actions.push(...acceptActions(state, document, findingsAt(analysis, place)));
    const choices = new Map(
      fixes.map(({ finding: { rule }, fix: { title } }) => [`${rule} ${title}`, { rule, title }]),
    );
    for (const choice of choices.values()) {
      const count = countFixes(analysis, choice);
      if (count > 1)
        actions.push(
          ...(await fixAllAction(
            state,
            document,
            choice,
            fixRuleTitle(choice.title, count),
            CodeActionKind.QuickFix,
          )),
        );
    }
  }
  // Finding all repairs takes several readings: not for a list that is only looked at.
  const mayTakeLong = state.features.resolvesCodeActions || params.context.only !== undefined;
  if (
    mayTakeLong &&
    isWanted(CodeActionKind.SourceFixAll, params.context.only) &&
    countFixes(analysis, "safe") > 0
  )
    actions.push(...(await fixAllAction(state, document, "safe", fixAllTitle, CodeActionKind.SourceFixAll)));
  if (isWanted(CodeActionKind.RefactorRewrite, params.context.only)) {
    const requests = scopesAt(analysis, place.start).flatMap((found) =>
      fingerRequests(document, params, found),
    );
    for (const request of requests) actions.push(...(await fingerAction(state, request)));
    if (requests.length > 0) actions.push(...writeMarksActions(state, document, analysis));
  }
  return actions;
}

/** Kinds are hierarchical: asking for `refactor` asks for `refactor.rewrite` too. Source: LSP 3.17, CodeActionKind. */
function isWanted(kind: string, only: readonly string[] | undefined): boolean {
  return !only || only.some((wanted) => wanted === "" || kind === wanted || kind.startsWith(`${wanted}.`));
}

async function fixAction(
  state: ServerState,
  document: OpenDocument,
  offered: OfferedFix,
): Promise<(CodeAction | Command)[]> {
  const { finding, fix } = offered;
  const { uri, version, readings: reading } = document;
  const number = { finding: offered.findingIndex, fix: offered.fixIndex };
  const request: FixRequest = { uri, version, ...number, reading };
  if (!state.features.codeActionLiterals) {
    return [{ title: fix.title, command: fixCommand, arguments: [request] }];
  }
  const action: CodeAction = {
    title: fix.title,
    kind: CodeActionKind.QuickFix,
    diagnostics: [findingDiagnostic(document, finding, state.features)],
    isPreferred: fix.safety === "safe" && offered.fixIndex === 0,
  };
  if (state.features.resolvesCodeActions) return [{ ...action, data: { does: "fix", ...request } }];
  const { edits } = await fixEdits(state, request, unseenWork);
  return edits.length === 0 ? [] : [{ ...action, edit: toWorkspaceEdit(document, edits, state.features) }];
}

/** The ways to leave findings as they are: each of its own finding, and of a remark all of its rule. */
function acceptActions(
  state: ServerState,
  document: OpenDocument,
  findings: readonly number[],
): (CodeAction | Command)[] {
  const { uri, version, accepted, analysis, readings: reading } = document;
  const { codeActionLiterals, editsOtherFiles, resolvesCodeActions } = state.features;
  if (!accepted || !analysis) return [];
  const one = (index: number, count = 1): CodeAction | Command => {
    const finding = analysis.findings[index]!;
    const request: AcceptRequest = {
      uri,
      version,
      finding: index,
      reading,
      ...(count > 1 ? { all: true } : {}),
    };
    const name = findings.length > 1 ? acceptRuleTitle(finding.rule) : acceptTitle;
    const title = count > 1 ? fixRuleTitle(name, count) : name;
    const command: Command = { title, command: acceptCommand, arguments: [request] };
    if (!codeActionLiterals) return command;
    const diagnostics = [findingDiagnostic(document, finding, state.features)];
    const action: CodeAction = { title, kind: CodeActionKind.QuickFix, diagnostics };
    // Where the editor cannot change other files, or not now, the command does it.
    if (!editsOtherFiles || !resolvesCodeActions) return { ...action, command };
    return { ...action, data: { does: "accept", ...request } satisfies CodeActionData };
  };
  // Remarks that say the same of many places are shown as one, and would be one again after each.
  const all = findings.flatMap((index) => {
    const { rule, severity } = analysis.findings[index]!;
    const count = analysis.findings.filter((finding) => finding.rule === rule).length;
    return severity === "info" && count > 1 ? [one(index, count)] : [];
  });
  return [...findings.map((index) => one(index)), ...all];
}

async function fixAllAction(
  state: ServerState,
  document: OpenDocument,
  choice: FixChoice,
  title: string,
  kind: CodeActionKind,
): Promise<(CodeAction | Command)[]> {
  const request: FixAllRequest = { uri: document.uri, version: document.version, choice };
  const command: Command = { title, command: fixAllCommand, arguments: [request] };
  const { codeActionLiterals, resolvesCodeActions, appliesEdits } = state.features;
  if (!codeActionLiterals) return [command];
  if (resolvesCodeActions) return [{ title, kind, data: { does: "fixAll", ...request } }];
  // Done before saving, say, it must have its edit.
  if (appliesEdits && kind !== CodeActionKind.SourceFixAll) return [{ title, kind, command }];
  const { edits } = await fixAllEdits(state, request, unseenWork);
  return edits.length === 0 ? [] : [{ title, kind, edit: toWorkspaceEdit(document, edits, state.features) }];
}

/** Completing what is printed, and, where something is, fingering it anew. */
function fingerRequests(document: OpenDocument, params: CodeActionParams, found: ScopeAt): FingerRequest[] {
  const { uri, version } = document;
  const modes: readonly FingerMode[] = found.printed ? ["keep", "fresh"] : ["keep"];
  return modes.map((mode) => ({ uri, version, scope: found.scope, position: params.range.start, mode }));
}

/** Where the harp is known, and something changes on it in the piece. */
function writeMarksActions(
  state: ServerState,
  document: OpenDocument,
  { levers, pedals }: Analysis,
): CodeAction[] {
  const { codeActionLiterals, resolvesCodeActions } = state.features;
  if (!codeActionLiterals || ((levers ?? pedals)?.changes.length ?? 0) === 0) return [];
  const { uri, version } = document;
  const title = writeMarksTitle(levers ? "lever" : "pedal");
  const action: CodeAction = { title, kind: CodeActionKind.RefactorRewrite };
  if (resolvesCodeActions)
    return [{ ...action, data: { does: "writeMarks", uri, version } satisfies CodeActionData }];
  const { edits } = writeMarksEdits(state, { uri, version });
  return edits.length === 0 ? [] : [{ ...action, edit: toWorkspaceEdit(document, edits, state.features) }];
}

async function fingerAction(state: ServerState, request: FingerRequest): Promise<(CodeAction | Command)[]> {
  const title = fingerTitle(request);
  const command: Command = { title, command: fingerCommand, arguments: [request] };
  const { codeActionLiterals, resolvesCodeActions, appliesEdits } = state.features;
  if (!codeActionLiterals) return [command];
  const action: CodeAction = { title, kind: CodeActionKind.RefactorRewrite };
  if (resolvesCodeActions) return [{ ...action, data: { does: "finger", ...request } }];
  // Each of these needs a search of its own: better done once it is chosen.
  if (appliesEdits) return [{ ...action, command }];
  const { document, edits } = await fingerEdits(state, request, unseenWork);
  return edits.length === 0 ? [] : [{ ...action, edit: toWorkspaceEdit(document, edits, state.features) }];
}
