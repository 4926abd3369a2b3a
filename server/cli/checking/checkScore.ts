import { decodeScoreFile } from "../../../shared/musicxml/scoreFile.ts";
import { gather } from "../../../shared/rules/gather.ts";
import type { ReadEntry } from "../../../shared/service/acceptedFile.ts";
import { type Analysis, analyse } from "../../../shared/service/analyse.ts";
import { levelFacts } from "../../../shared/service/level.ts";
import { placeSignature } from "../../../shared/service/placeSignature.ts";
import type { Settings } from "../../../shared/service/settings.ts";
import type { LineIndex } from "../../../shared/text/lineIndex.ts";
import { InputError } from "../../../shared/text/problem.ts";
import type { Span } from "../../../shared/text/span.ts";
import { type CheckedFile, type PlacedRange, unreadable } from "../formats/checked.ts";

/** A score to check. Plain data: it goes between threads. */
export interface ScoreToCheck {
  /** As messages show it. */
  readonly path: string;
  readonly bytes: Uint8Array;
  readonly settings: Settings;
  /** Whether the facts of its level are wanted. */
  readonly withLevel: boolean;
}

/** What a check of one score comes to. Plain data: it goes between threads and is kept on the disk. */
export interface CheckedScore {
  readonly file: CheckedFile;
  /** The entries of accepted findings that fit nothing; undefined when the score could not be read whole. */
  readonly unmatched?: readonly ReadEntry[];
  /** It is a fault of the program's own: nothing to be remembered. */
  readonly failed?: true;
}

/** Checks a score. Never throws: whatever goes wrong becomes a problem of that file, so that others are checked. */
export function checkScore(score: ScoreToCheck): CheckedScore {
  try {
    return checkedScore(score);
  } catch (error) {
    if (error instanceof InputError) return { file: unreadable(score.path, error.message) };
    return faultyCheck(score.path, error instanceof Error ? error.message : String(error));
  }
}

/** What is told of a score whose check broke down. */
export function faultyCheck(path: string, what: string): CheckedScore {
  const message = `Placewright failed on this file, which is a fault of its own: ${what}.`;
  return { file: unreadable(path, message), failed: true };
}

function checkedScore({ path, bytes, settings, withLevel }: ScoreToCheck): CheckedScore {
  const { text, notes } = decodeScoreFile(bytes);
  const analysis = analyse(text, settings);
  const { harp, problems } = analysis;
  const file: CheckedFile = {
    path,
    problems: problems.map(({ severity, message, span }) => ({
      severity,
      message,
      range: placedRange(analysis.lines, span),
    })),
    findings: findingsOf(analysis),
    accepted: analysis.accepted.length,
    level: withLevel ? levelFacts(analysis) : undefined,
    // What a finding says already is not said again.
    assumptions: [...notes, ...analysis.assumptions.filter((each) => !isTold(analysis, each))],
    noteCount: analysis.hands.reduce(
      (sum, { line }) => sum + line.events.reduce((inLine, event) => inLine + event.notes.length, 0),
      0,
    ),
  };
  const isWhole = harp !== undefined && problems.every(({ severity }) => severity !== "error");
  return isWhole ? { file, unmatched: analysis.unmatched } : { file };
}

function findingsOf(analysis: Analysis): CheckedFile["findings"] {
  return gather(analysis.findings).map((finding) => {
    const { span, related, fixes, places: _, ...rest } = finding;
    return {
      ...rest,
      range: placedRange(analysis.lines, span),
      related: related.map((other) => ({
        message: other.message,
        range: placedRange(analysis.lines, other.span),
      })),
      fixes: fixes.map(({ title, safety }) => ({ title, safety })),
      place: placeSignature(analysis, finding),
    };
  });
}

function isTold({ findings }: Analysis, assumption: string): boolean {
  return findings.some(({ message }) => message.startsWith(assumption));
}

function placedRange(lines: LineIndex, { start, end }: Span): PlacedRange {
  return { start: lines.place(start), end: lines.place(end) };
}
