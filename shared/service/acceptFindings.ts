import type { Finding } from "../rules/define.ts";
import type { AcceptedEntry } from "./acceptedFile.ts";
import { placeSignature, type SignedScore } from "./placeSignature.ts";

/** What was found in a score, with what was accepted set aside. */
export interface SortedFindings<Entry extends AcceptedEntry> {
  /** Those that nobody has accepted, in the order in which they came. */
  readonly findings: readonly Finding[];
  readonly accepted: readonly { readonly finding: Finding; readonly entry: Entry }[];
  /** Entries that no finding fits. */
  readonly unmatched: readonly Entry[];
}

/**
 * Sets accepted findings aside. An entry holds for the finding of its rule, hand and place; of several places that are
 * alike for as many as have entries, else for those that the entries' ordinals tell.
 */
export function sortAccepted<Entry extends AcceptedEntry>(
  signed: SignedScore,
  found: readonly Finding[],
  entries: readonly Entry[],
): SortedFindings<Entry> {
  if (entries.length === 0) return { findings: found, accepted: [], unmatched: [] };
  const concerned = new Set(entries.map(({ rule }) => rule));
  const alike = groupsOf(
    signed,
    found.filter(({ rule }) => concerned.has(rule)),
  );
  const accepted = new Map<Finding, Entry>();
  const unmatched: Entry[] = [];
  for (const [key, own] of grouped(entries, (entry) => keyOf(entry.rule, entry.hand, entry.place))) {
    const findings = alike.get(key) ?? [];
    own.forEach((entry, i) => {
      const finding = own.length >= findings.length ? findings[i] : findings[(entry.ordinal ?? 1) - 1];
      if (finding && !accepted.has(finding)) accepted.set(finding, entry);
      else unmatched.push(entry);
    });
  }
  return {
    findings: found.filter((finding) => !accepted.has(finding)),
    accepted: [...accepted].map(([finding, entry]) => ({ finding, entry })),
    unmatched,
  };
}

/**
 * The entry that accepts a finding.
 *
 * @param found all that was found in the score, accepted findings included: places that are alike are counted.
 */
export function entryFor(
  signed: SignedScore,
  found: readonly Finding[],
  finding: Finding,
  reason: string,
): AcceptedEntry {
  const place = placeSignature(signed, finding);
  const groups = groupsOf(
    signed,
    found.filter(({ rule }) => rule === finding.rule),
  );
  const ordinal = groups.get(keyOf(finding.rule, finding.hand, place))!.indexOf(finding) + 1;
  return {
    rule: finding.rule,
    ...(finding.hand === undefined ? {} : { hand: finding.hand }),
    place,
    ...(ordinal > 1 ? { ordinal } : {}),
    finding: finding.message,
    reason,
  };
}

/** Findings whose places are alike, in order of time. */
function groupsOf(signed: SignedScore, findings: readonly Finding[]): Map<string, Finding[]> {
  const groups = grouped(findings, (finding) =>
    keyOf(finding.rule, finding.hand, placeSignature(signed, finding)),
  );
  const eventOf = ({ places }: Finding): number => places[0]?.first ?? 0;
  for (const group of groups.values()) group.sort((a, b) => eventOf(a) - eventOf(b));
  return groups;
}

function keyOf(rule: string, hand: string | undefined, place: string): string {
  return `${rule} ${hand ?? ""} ${place}`;
}

function grouped<T>(items: readonly T[], key: (item: T) => string): Map<string, T[]> {
  const groups = new Map<string, T[]>();
  for (const item of items) {
    const group = groups.get(key(item));
    if (group) group.push(item);
    else groups.set(key(item), [item]);
  }
  return groups;
}
