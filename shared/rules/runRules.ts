import { add, format, rational } from "../score/rational.ts";
import type { Finding, FindingPlace, Report, Rule, RuleInput } from "./define.ts";
import { handMarkUnclear } from "./handMarkUnclear.ts";
import { printedBrackets } from "./support/printedBrackets.ts";
import { isUnclearlyGiven, unclearMarks } from "./support/unclearMarks.ts";

/**
 * Runs rules over a score. Findings come in the order of the text. What a general rule says of events that another
 * rule speaks of is left out, and so is what follows from doubtful words for a hand: a cause is told once.
 */
export function runRules(input: RuleInput, rules: readonly Rule[]): Finding[] {
  const told: Told[] = [];
  for (const rule of rules) rule.check(input, (report) => told.push({ rule, report }));
  const named = new NamedEvents(told);
  const given = new UnclearlyGiven(input);
  return told
    .filter(({ rule, report }) => rule === handMarkUnclear || !given.meet(report))
    .filter(({ rule, report }) => !rule.general || !named.meet(report))
    .map(({ rule, report }) => toFinding(rule, report))
    .sort((a, b) => a.span.start - b.span.start || a.span.end - b.span.end);
}

interface Told {
  readonly rule: Rule;
  readonly report: Report;
}

/**
 * Notes that doubtful words give to a hand, and what a bracket joins to them: which hand plays them is not known, so
 * that nothing but the words is told of.
 */
class UnclearlyGiven {
  readonly #input: RuleInput;

  constructor(input: RuleInput) {
    this.#input = input;
  }

  meet({ at, over }: Report): boolean {
    if (!at || unclearMarks(this.#input).length === 0) return false;
    const { hand, event } = at;
    let { first, last } = over ?? { first: event, last: event };
    for (const bracket of printedBrackets(this.#input, hand)) {
      if (bracket.last < event || bracket.first > event) continue;
      first = Math.min(first, bracket.first);
      last = Math.max(last, bracket.last);
    }
    for (let i = first; i <= last; i += 1) if (isUnclearlyGiven(this.#input, hand, i)) return true;
    return false;
  }
}

/** The events of which rules that are not general speak. */
class NamedEvents {
  readonly #events = new Map<string, Set<number>>();

  constructor(told: readonly Told[]) {
    if (!told.some(({ rule }) => rule.general)) return;
    for (const { rule, report } of told) {
      if (rule.general || !report.at) continue;
      const { hand, event } = report.at;
      const { first, last } = report.over ?? { first: event, last: event };
      const events = this.#events.get(hand.hand) ?? new Set();
      for (let i = first; i <= last; i += 1) events.add(i);
      this.#events.set(hand.hand, events);
    }
  }

  meet({ at, over }: Report): boolean {
    const events = at && this.#events.get(at.hand.hand);
    if (!events) return false;
    const { first, last } = over ?? { first: at.event, last: at.event };
    for (let i = first; i <= last; i += 1) if (events.has(i)) return true;
    return false;
  }
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

function placesOf({ at, over }: Report): FindingPlace[] {
  if (!at) return [];
  const { first, last } = over ?? { first: at.event, last: at.event };
  return [{ hand: at.hand.hand, first, last }];
}
