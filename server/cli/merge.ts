import { readFile } from "node:fs/promises";
import { InputError } from "../../shared/text/problem.ts";
import { fileTrouble } from "../files/fileTrouble.ts";
import type { Arguments } from "./arguments.ts";
import { CheckSummary } from "./checking/checkSummary.ts";
import { mergedReports } from "./checking/mergedReports.ts";
import { readReport } from "./checking/readReport.ts";
import type { Command, ExitCode } from "./command.ts";
import { JsonReport } from "./formats/checkJson.ts";
import { checkReport, type ReportFormat, reportFormats } from "./formats/checkReport.ts";
import type { Terminal } from "./terminal.ts";

export const merge: Command = {
  name: "merge",
  operands: "REPORT...",
  summary: "Make one report of those that the shards of a check wrote.",
  description:
    "Reads JSON reports of placewright check and prints them as one, as if there had been one call. Of shards all have\n" +
    "to be there, in any order; other reports follow each other as they are named. The exit code is that of the check.",
  options: {
    format: {
      value: "FORMAT",
      choices: reportFormats,
      help: "How findings are printed; text by default.",
    },
  },
  examples: [
    "placewright merge shard-1.json shard-2.json --format sarif > findings.sarif",
    "placewright merge shard-*.json --format json > findings.json",
  ],
  run,
};

async function run(args: Arguments, terminal: Terminal): Promise<ExitCode> {
  if (args.operands.length === 0) {
    throw new InputError("Name the reports: placewright merge REPORT...");
  }
  const reports = [];
  for (const path of args.operands) {
    const text = await readFile(path, "utf8").catch((error) => {
      throw new InputError(fileTrouble(error, path));
    });
    reports.push({ path, ...readReport(path, text) });
  }
  const merged = mergedReports(reports);
  const report = checkReport(args.value("format") as ReportFormat | undefined);
  const summary = new CheckSummary();
  terminal.out(report.begin());
  for (const { file, entry } of merged) {
    summary.add(file);
    // As it was written: a later version may tell more of a file than this one knows.
    terminal.out(report instanceof JsonReport ? report.entry(entry) : report.file(file));
  }
  terminal.out(report.end());
  terminal.err(`${summary.text}.\n`);
  return summary.exitCode;
}
