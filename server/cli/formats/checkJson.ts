import { stopOnPain } from "../../../shared/service/cautions.ts";
import type { LevelFacts } from "../../../shared/service/level.ts";
import type { CheckedFile } from "./checked.ts";
import type { CheckReport, ReportOptions } from "./checkReport.ts";

/** The facts of a score's level, every key always there, and the caution that goes with reaches and speeds. */
function levelJson({ label, hands, levers, ...facts }: LevelFacts): object {
  return {
    label: label ?? null,
    ...facts,
    levers: levers ? { ...levers, shortest: levers.shortest ?? null } : null,
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

/** One file of a JSON report, as plain data. */
export function fileJson({ path, problems, findings, accepted, level, ...rest }: CheckedFile): object {
  return {
    path,
    problems: problems.map(({ severity, message, range, about }) => ({
      severity,
      message,
      range,
      ...(about === undefined ? {} : { about }),
    })),
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
      place: finding.place,
    })),
    accepted: accepted ?? 0,
    level: level ? levelJson(level) : null,
    assumptions: rest.assumptions,
    notes: rest.noteCount,
  };
}

/**
 * The findings of all files as one JSON document, version 1. Lines and columns count from 1. One of several shards says
 * which one it is, and has at each file its number among the files of all shards.
 */
export class JsonReport implements CheckReport {
  readonly #shard: string | undefined;
  #any = false;

  constructor({ shard }: ReportOptions = {}) {
    this.#shard = shard;
  }

  begin(): string {
    const shard = this.#shard === undefined ? "" : `\n  "shard": ${JSON.stringify(this.#shard)},`;
    return `{\n  "version": 1,${shard}\n  "files": [`;
  }

  file(file: CheckedFile, at?: number): string {
    return this.entry(this.#shard === undefined ? fileJson(file) : { at: at ?? null, ...fileJson(file) });
  }

  /** A file that is JSON already. */
  entry(file: object): string {
    const text = JSON.stringify(file, null, 2).replace(/^/gm, "    ");
    const comma = this.#any ? "," : "";
    this.#any = true;
    return `${comma}\n${text}`;
  }

  end(): string {
    return `${this.#any ? "\n  " : ""}]\n}\n`;
  }
}
