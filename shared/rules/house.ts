// House rules are written by others and run apart: what they find comes back as plain data and is not believed.
import type { WrittenHand } from "../fingering/written.ts";
import { type Edit, inOrder } from "../text/edits.ts";
import { InputError } from "../text/problem.ts";
import type { Span } from "../text/span.ts";
import type { Finding, FindingPlace, FixKind, RelatedPlace, Rule, Severity } from "./define.ts";

/** A house rule's id has a word for the house before the slash, so that it is never a built-in rule's. */
export const houseIdPattern = "^[a-z][a-z0-9]*(-[a-z0-9]+)*/[a-z][a-z0-9]*(-[a-z0-9]+)*$";

/** True for ids such as `our-series/digits-above`. */
export function isHouseId(id: string): boolean {
  return new RegExp(houseIdPattern).test(id);
}

/** A repair of a house rule: its edits have been found. */
export interface HouseFix extends FixKind {
  readonly edits: readonly Edit[];
  readonly remark?: string;
}

/** What a house rule found. Plain data. */
export type HouseFinding = Omit<Finding, "fixes"> & { readonly fixes: readonly HouseFix[] };

/** All about a house rule but what it does. Plain data. */
export type HouseRulePage = Omit<Rule, "check" | "given"> & { readonly given?: { readonly words: string } };

/** A rule that finds more in one score has lost its way. */
const mostFindings = 10_000;
const longestWords = 10_000;

/**
 * Reads what a module exports as a rule.
 * @throws InputError saying what of it is no rule's.
 */
export function readHouseRule(exported: unknown): Rule {
  const rule = record(exported, "a rule");
  const { id, severity, fixes, given } = rule;
  if (typeof id !== "string" || !isHouseId(id)) {
    throw new InputError(
      `a rule's id is two names with a slash between them, such as our-series/digits-above, not ${shown(id)}`,
    );
  }
  readSeverity(severity, `the severity of ${id}`);
  for (const name of ["summary", "why", "bad", "good"]) words(rule[name], `"${name}" of ${id}`);
  for (const fix of list(fixes, `"fixes" of ${id}`)) readFixKind(fix, id);
  if (given !== undefined) words(record(given, `"given" of ${id}`).words, `"given.words" of ${id}`);
  if (typeof rule.check !== "function") throw new InputError(`${id} has no function "check"`);
  return exported as Rule;
}

/** What is told of a rule, without the rule. */
export function housePage({ check: _, given, ...page }: Rule): HouseRulePage {
  return {
    ...page,
    fixes: page.fixes.map(({ title, safety }) => ({ title, safety })),
    ...(given ? { given: { words: given.words } } : {}),
  };
}

/** A rule's finding as plain data: its repairs are worked out. */
export function plainFinding({ fixes, ...finding }: Finding): unknown {
  return {
    ...finding,
    fixes: fixes.map((fix) => ({
      title: fix.title,
      safety: fix.safety,
      edits: fix.edits(),
      remark: fix.remark?.(),
    })),
  };
}

/**
 * Reads what a house rule found in a text. Nothing that it holds but is not asked for is kept.
 * @throws InputError saying what is wrong with it, after "it".
 */
export function readHouseFindings(found: unknown, text: string, id: string): HouseFinding[] {
  const findings = list(found, "what it found");
  if (findings.length > mostFindings) {
    throw new InputError(`it found ${findings.length} places in one score; ${mostFindings} are the most`);
  }
  return findings.map((each) => readFinding(each, text, id));
}

function readFinding(found: unknown, text: string, id: string): HouseFinding {
  const finding = record(found, "a finding");
  return {
    rule: id,
    severity: readSeverity(finding.severity, "a finding's severity"),
    message: words(finding.message, "a finding's message"),
    span: readSpan(finding.span, text, "a finding"),
    related: list(finding.related, "a finding's related places").map((each): RelatedPlace => {
      const place = record(each, "a related place");
      return {
        span: readSpan(place.span, text, "a related place"),
        message: words(place.message, "a related place's message"),
      };
    }),
    fixes: list(finding.fixes, "a finding's repairs").map((fix) => readFix(fix, text)),
    places: list(finding.places, "a finding's places").map(readPlace),
    part: optionalWords(finding.part, "a finding's part"),
    hand: finding.hand === undefined ? undefined : readHand(finding.hand),
    bar: optionalWords(finding.bar, "a finding's bar"),
    beat: optionalWords(finding.beat, "a finding's beat"),
  };
}

function readFix(found: unknown, text: string): HouseFix {
  const fix = record(found, "a repair");
  const { title, safety } = readFixKind(fix, "a repair");
  const about = `the repair ${shown(title)}`;
  const edits = list(fix.edits, `the edits of ${about}`).map((each): Edit => {
    const edit = record(each, `an edit of ${about}`);
    if (typeof edit.text !== "string") throw new InputError(`an edit of ${about} has no text`);
    return { span: readSpan(edit.span, text, `an edit of ${about}`), text: edit.text };
  });
  const remark = optionalWords(fix.remark, `the remark of ${about}`);
  try {
    return { title, safety, edits: inOrder(edits), ...(remark === undefined ? {} : { remark }) };
  } catch (error) {
    throw new InputError(`the edits of ${about} overlap: ${(error as Error).message}`);
  }
}

function readFixKind(found: unknown, about: string): FixKind {
  const { title, safety } = record(found, `a repair of ${about}`);
  if (safety !== "safe" && safety !== "ask") {
    throw new InputError(`the safety of a repair is safe or ask, not ${shown(safety)}`);
  }
  return { title: words(title, "a repair's title"), safety };
}

function readSpan(found: unknown, text: string, about: string): Span {
  const { start, end } = record(found, `the span of ${about}`);
  const isInside =
    Number.isInteger(start) &&
    Number.isInteger(end) &&
    (start as number) >= 0 &&
    (start as number) <= (end as number) &&
    (end as number) <= text.length;
  if (!isInside) {
    throw new InputError(
      `${about} goes from ${shown(start)} to ${shown(end)}, which is no place in a text of ${text.length} characters`,
    );
  }
  return { start: start as number, end: end as number };
}

function readPlace(found: unknown): FindingPlace {
  const { hand, first, last } = record(found, "a place");
  if (!Number.isInteger(first) || !Number.isInteger(last) || (first as number) > (last as number)) {
    throw new InputError(`a place goes from event ${shown(first)} to ${shown(last)}`);
  }
  return { hand: readHand(hand), first: first as number, last: last as number };
}

function readHand(hand: unknown): FindingPlace["hand"] {
  if (hand !== "right" && hand !== "left")
    throw new InputError(`a hand is right or left, not ${shown(hand)}`);
  return hand;
}

function readSeverity(severity: unknown, about: string): Severity {
  if (severity !== "error" && severity !== "warning" && severity !== "info") {
    throw new InputError(`${about} is error, warning or info, not ${shown(severity)}`);
  }
  return severity;
}

function optionalWords(text: unknown, about: string): string | undefined {
  return text === undefined ? undefined : words(text, about, 0);
}

function words(text: unknown, about: string, least = 1): string {
  if (typeof text !== "string" || text.trim().length < least || text.length > longestWords) {
    throw new InputError(`${about} is text, not ${shown(text)}`);
  }
  return text;
}

function list(value: unknown, about: string): readonly unknown[] {
  if (!Array.isArray(value)) throw new InputError(`${about}: a list is expected, not ${shown(value)}`);
  return value;
}

function record(value: unknown, about: string): Readonly<Record<string, unknown>> {
  if (typeof value !== "object" || value === null || Array.isArray(value)) {
    throw new InputError(`${about} is an object, not ${shown(value)}`);
  }
  return value as Readonly<Record<string, unknown>>;
}

/** A value as a message shows it, however odd it is. */
function shown(value: unknown): string {
  if (typeof value === "number" || value === undefined || value === null) return String(value);
  if (typeof value === "string") return JSON.stringify(value.slice(0, 60));
  return Array.isArray(value) ? "a list" : typeof value;
}

/** A house rule's finding like any other. Places that the hands do not have are left out. */
export function fromHouse({ fixes, ...finding }: HouseFinding, hands: readonly WrittenHand[]): Finding {
  const exists = ({ hand, first, last }: FindingPlace): boolean => {
    const written = hands.find((each) => each.hand === hand);
    return written !== undefined && first >= 0 && last < written.line.events.length;
  };
  return {
    ...finding,
    places: finding.places.filter(exists),
    fixes: fixes.map(({ title, safety, edits, remark }) => ({
      title,
      safety,
      edits: () => edits,
      ...(remark === undefined ? {} : { remark: () => remark }),
    })),
  };
}
