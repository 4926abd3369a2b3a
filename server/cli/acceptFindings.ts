import { closest } from "fastest-levenshtein";
import type { Finding } from "../../shared/rules/define.ts";
import { isHouseId } from "../../shared/rules/house.ts";
import { rules } from "../../shared/rules/registry.ts";
import { acceptanceEdits } from "../../shared/service/acceptance.ts";
import { type Analysis, analyse } from "../../shared/service/analyse.ts";
import { counted } from "../../shared/service/words.ts";
import { InputError } from "../../shared/text/problem.ts";
import { editAcceptedFile } from "../files/editAcceptedFile.ts";
import type { Arguments } from "./arguments.ts";
import { readBars } from "./bars.ts";
import type { HouseCheck } from "./houseCheck.ts";
import { readInput, standardInput } from "./readInput.ts";
import { type CallSettings, shortened } from "./settingsOf.ts";
import type { Terminal } from "./terminal.ts";

/**
 * Does what `--accept` says: writes the findings that are meant into the file of accepted findings. Nothing without it.
 * @throws InputError when the call does not say which findings of which score, or why; nothing is written then.
 */
export async function acceptFindings(
  args: Arguments,
  settings: CallSettings,
  house: HouseCheck,
  terminal: Terminal,
): Promise<void> {
  const rule = args.value("accept");
  if (rule === undefined) {
    for (const name of ["bars", "hand", "reason"]) {
      if (args.has(name)) throw new InputError(`--${name} goes with --accept RULE.`);
    }
    return;
  }
  const path = checkedCall(args, rule);
  const reason = args.value("reason")!;
  const { bytes, text } = await readInput(path, terminal);
  const found = settings.foundFor(path);
  const analysis = analyse(text, await house.settingsWith(found, bytes));
  if (!analysis.harp) throw new InputError(analysis.problems[0]?.message ?? `${path} could not be read.`);
  const meant = meantFindings(args, rule, analysis);
  const place = found.accepted!;
  await editAcceptedFile(place, acceptanceEdits(analysis, meant, place, reason));
  terminal.err(
    `${shortened(place.path)}: ${counted(meant.length, "finding")} of ${rule} accepted, ${counted(place.entries.length + meant.length, "entry", "entries")} in all.\n`,
  );
}

function checkedCall({ operands, value }: Arguments, rule: string): string {
  const ids = rules.map(({ id }) => id);
  if (!ids.includes(rule) && !isHouseId(rule)) {
    throw new InputError(
      `--accept: there is no rule ${rule}. Did you mean ${closest(rule, ids)}? placewright rules lists them.`,
    );
  }
  if ((value("reason") ?? "").trim() === "") {
    throw new InputError('--accept needs a reason: --reason "why it is meant to be so".');
  }
  const [path, second] = operands;
  if (second !== undefined || path === standardInput || !/\.(musicxml|mxl|xml)$/i.test(path!)) {
    throw new InputError("--accept is about one score: name its file, and no folder.");
  }
  return path!;
}

function meantFindings(args: Arguments, rule: string, analysis: Analysis): readonly Finding[] {
  const bars = args.value("bars");
  const hand = args.value("hand");
  const ofRule = analysis.findings.filter((finding) => finding.rule === rule);
  const inBars = bars === undefined ? () => true : barTest(bars, analysis);
  const meant = ofRule.filter((finding) => inBars(finding.bar) && (hand ?? finding.hand) === finding.hand);
  const where = [...new Set(ofRule.map((finding) => finding.bar ?? "?"))].join(", ");
  if (meant.length === 0) {
    const elsewhere = ofRule.length > 0 ? ` It has findings in: ${where}.` : "";
    throw new InputError(`--accept: ${rule} has found nothing there that is not accepted.${elsewhere}`);
  }
  if (meant.length > 1 && bars === undefined) {
    throw new InputError(
      `--accept: ${rule} has ${meant.length} findings, in bars ${where}. Say which are meant: --bars FROM-TO.`,
    );
  }
  return meant;
}

function barTest(bars: string, analysis: Analysis): (bar: string | undefined) => boolean {
  const { first, last } = readBars(bars, analysis);
  const numbers = analysis.harp!.parts[0]!.measures.map(({ number }) => number);
  const meant = new Set(numbers.slice(numbers.indexOf(first), numbers.lastIndexOf(last) + 1));
  return (bar) => bar !== undefined && meant.has(bar);
}
