import { add, format, rational } from "../score/rational.ts";
import type { Finding, FindingPlace, Report, Rule, RuleInput } from "./define.ts";

/** Runs rules over a score. Findings come in the order of the text. */
export function runRules(input: RuleInput, rules: readonly Rule[]): Finding[] {
  const findings: Finding[] = [];
  for (const rule of rules) rule.check(input, (report) => findings.push(toFinding(rule, report)));
  return findings.sort((a, b) => a.span.start - b.span.start || a.span.end - b.span.end);
}

function toFinding(rule: Rule, report: Report): Finding {
  const event = report.at?.hand.line.events[report.at.event];
  const note = report.at?.note ?? event?.notes[0]?.note;
  return {
    rule: rule.id,
    severity: report.severity ?? rule.severity,
    message: report.message,
    span: report.span,
    related: report.related ?? [],
    fixes: report.fixes ?? [],
    places: report.places ?? placesOf(report),
    part: event?.part.id,
    hand: report.at?.hand.hand,
    bar: note?.measure.number,
    beat: note ? format(add(note.position, rational(1))) : undefined,
  };
}

function placesOf({ at }: Report): FindingPlace[] {
  return at ? [{ hand: at.hand.hand, first: at.event, last: at.event }] : [];
}
