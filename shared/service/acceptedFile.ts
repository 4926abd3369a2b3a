import {
  applyEdits as applyJsonEdits,
  findNodeAtLocation,
  getNodeValue,
  modify,
  parseTree,
} from "jsonc-parser";
import type { Edit } from "../text/edits.ts";
import { InputError, type Problem } from "../text/problem.ts";
import { contains, type Span } from "../text/span.ts";
import { acceptedSchema } from "./acceptedSchema.ts";
import { readJson } from "./jsonSchema.ts";

/** The name of a file of accepted findings, in a folder of scores or above it. */
export const acceptedFileName = "placewright.accepted.json";

/** What stands for a reason until somebody gives one. */
export const plainReason = "Intended.";

/** A finding that is meant to be as it is, as written in a file. */
export interface AcceptedEntry {
  readonly rule: string;
  readonly hand?: "right" | "left";
  /** See `placeSignature`. */
  readonly place: string;
  /** Which of several places that are alike, from 1. */
  readonly ordinal?: number;
  /** What was said when it was accepted. */
  readonly finding?: string;
  readonly reason: string;
}

/** An entry and the score that it is about. */
export interface ScoredEntry extends AcceptedEntry {
  /** From the file's folder, with forward slashes. */
  readonly score: string;
}

/** An entry as read. */
export interface ReadEntry extends ScoredEntry {
  /** Where it stands in its file. */
  readonly span: Span;
}

/** A file of accepted findings, as read. */
export interface AcceptedFile {
  readonly entries: readonly ReadEntry[];
  /** What is wrong with the file; the other entries count all the same. */
  readonly problems: readonly Problem[];
}

/** Reads the text of a file of accepted findings. Never throws: what is wrong is in `problems`, each at its place. */
export function readAccepted(text: string): AcceptedFile {
  // A file that was only just made is none yet.
  if (isEmpty(text)) return { entries: [], problems: [] };
  const { value, problems } = readJson(text, acceptedSchema);
  if (value === undefined) return { entries: [], problems };
  const tree = parseTree(withoutMark(text));
  const nodes = (tree && findNodeAtLocation(tree, ["accepted"])?.children) ?? [];
  const entries = nodes.flatMap((node): ReadEntry[] => {
    const span = { start: node.offset, end: node.offset + node.length };
    if (problems.some((problem) => contains(span, problem.span))) return [];
    return [{ ...(getNodeValue(node) as ScoredEntry), span }];
  });
  return { entries, problems };
}

function isEmpty(text: string): boolean {
  return withoutMark(text).trim() === "";
}

/** A byte order mark is no part of JSON; its place is kept, so that offsets stay right. */
function withoutMark(text: string): string {
  return text.replace(/^\uFEFF/, " ");
}

/**
 * The edits that add entries at the end of a file and leave all else in it as it is.
 *
 * @param text of the file; empty for one that is not there yet.
 * @throws InputError when the file is no list of accepted findings, and so cannot be added to.
 */
export function addedEntries(text: string, entries: readonly ScoredEntry[]): Edit[] {
  if (entries.length === 0) return [];
  if (isEmpty(text)) {
    const whole = `${JSON.stringify({ accepted: entries }, undefined, 2)}\n`;
    return [{ span: { start: text.length, end: text.length }, text: whole }];
  }
  const { value, problems } = readJson(text, acceptedSchema);
  const { accepted } = (value ?? {}) as { readonly accepted?: unknown };
  if (!Array.isArray(accepted)) {
    throw new InputError(
      `${acceptedFileName} cannot be added to: ${problems[0]?.message ?? "it holds no list."} Mend it first.`,
    );
  }
  return [arrayAddition(text, entries)];
}

/** One insertion: an editor that takes it back has the text as it was. */
function arrayAddition(text: string, entries: readonly ScoredEntry[]): Edit {
  const json = withoutMark(text);
  const eol = json.includes("\r\n") ? "\r\n" : "\n";
  const indent = /^([ \t]+)"/m.exec(json)?.[1] ?? "  ";
  const formattingOptions = {
    insertSpaces: !indent.startsWith("\t"),
    tabSize: indent.startsWith("\t") ? 1 : indent.length,
    eol,
  };
  let after = json;
  for (const entry of entries) {
    const edits = modify(after, ["accepted", -1], entry, { formattingOptions, isArrayInsertion: true });
    after = applyJsonEdits(after, edits);
  }
  let start = 0;
  while (start < json.length && json[start] === after[start]) start += 1;
  let tail = 0;
  while (tail < json.length - start && json[json.length - 1 - tail] === after[after.length - 1 - tail])
    tail += 1;
  return { span: { start, end: json.length - tail }, text: after.slice(start, after.length - tail) };
}
