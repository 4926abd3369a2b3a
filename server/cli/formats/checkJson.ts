import { stopOnPain } from "../../../shared/service/cautions.ts";
import type { LevelFacts } from "../../../shared/service/level.ts";
import type { CheckedFile } from "./checked.ts";

/** The facts of a score's level, every key always there, and the caution that goes with reaches and speeds. */
function levelJson({ label, hands, ...facts }: LevelFacts): object {
  return {
    label: label ?? null,
    ...facts,
    hands: hands.map(({ widest, connectedShare, shortestReplacing, ...hand }) => ({
      ...hand,
      widest: {
        struck: widest.struck ?? null,
        rolled: widest.rolled ?? null,
        inTurn: widest.inTurn ?? null,
      },
      connectedShare: connectedShare ?? null,
      shortestReplacing: shortestReplacing ?? null,
    })),
    caution: stopOnPain,
  };
}

/** The findings of all files as one JSON document, version 1. Lines and columns count from 1. */
export function checkJson(files: readonly CheckedFile[]): string {
  const document = {
    version: 1,
    files: files.map(({ path, problems, findings, accepted, level }) => ({
      path,
      problems: problems.map(({ severity, message, range }) => ({ severity, message, range })),
      findings: findings.map((finding) => ({
        rule: finding.rule,
        severity: finding.severity,
        message: finding.message,
        part: finding.part ?? null,
        hand: finding.hand ?? null,
        bar: finding.bar ?? null,
        beat: finding.beat ?? null,
        range: finding.range,
        related: finding.related.map(({ message, range }) => ({ message, range })),
        fixes: finding.fixes.map(({ title, safety }) => ({ title, safety })),
      })),
      accepted: accepted ?? 0,
      level: level ? levelJson(level) : null,
    })),
  };
  return `${JSON.stringify(document, null, 2)}\n`;
}
