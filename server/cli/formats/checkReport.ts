import type { HouseRulePage } from "../../../shared/rules/house.ts";
import { levelText } from "../../../shared/service/levelText.ts";
import type { CheckedFile } from "./checked.ts";
import { checkGithub } from "./checkGithub.ts";
import { JsonReport } from "./checkJson.ts";
import { JunitReport } from "./checkJunit.ts";
import { SarifReport } from "./checkSarif.ts";
import { checkText } from "./checkText.ts";

/** Writes what a check finds, file by file, so that little of it has to be kept. */
export interface CheckReport {
  begin(): string;
  /** @param at the number of the file among those of all shards; undefined when it is none of them. */
  file(file: CheckedFile, at?: number): string;
  end(): string;
}

/** What the beginning and the files of a report depend on. */
export interface ReportOptions {
  /** `2/5`: the report is one of several. */
  readonly shard?: string;
  /** The facts of a score's level are told as text. */
  readonly withLevel?: boolean;
  /** The rules of the house that were run. */
  readonly houseRules?: readonly HouseRulePage[];
}

export const reportFormats = ["text", "json", "sarif", "github", "junit"] as const;
export type ReportFormat = (typeof reportFormats)[number];

/** A report in a format; text without one. */
export function checkReport(format: ReportFormat | undefined, options: ReportOptions = {}): CheckReport {
  switch (format) {
    case "json":
      return new JsonReport(options);
    case "sarif":
      return new SarifReport(options.houseRules);
    case "junit":
      return new JunitReport();
    case "github":
      return lines(checkGithub);
    default:
      return lines((file) => `${checkText(file)}${levelLines(file, options)}`);
  }
}

function lines(file: (file: CheckedFile) => string): CheckReport {
  return { begin: () => "", file, end: () => "" };
}

function levelLines({ path, level }: CheckedFile, { withLevel }: ReportOptions): string {
  return withLevel && level ? `${path}: level\n${levelText(level)}` : "";
}
