import type { Finding, Fix } from "../rules/define.ts";
import { isHouseId } from "../rules/house.ts";
import { EditedText } from "../text/editedText.ts";
import { applyEdits, type Edit } from "../text/edits.ts";
import { type Analysis, analyse } from "./analyse.ts";
import { AnalysisMemory } from "./analysisMemory.ts";

/** Which repairs to make: all that are safe, or those of one rule with one title, which a person has chosen. */
export type FixChoice = "safe" | { readonly rule: string; readonly title: string };

/** More rounds than this change to and fro. */
const mostRounds = 25;

/**
 * The edits that make every chosen repair, round after round until none is left to make: a repair may only become
 * possible by another. Of two repairs that overlap the earlier is made; a round that leaves more findings than there
 * were is given up. What house rules find is known of the first text only: their repairs are made in the first round.
 *
 * @returns edits to the text of the analysis; none when there is nothing to repair.
 */
export function fixAll(analysis: Analysis, choice: FixChoice): readonly Edit[] {
  const edited = new EditedText(analysis.text);
  const memory = new AnalysisMemory();
  let present = analysis;
  for (let round = 0; round < mostRounds; round += 1) {
    const edits = roundOf(present.findings, choice);
    if (edits.length === 0) break;
    const settings = { ...present.settings, house: undefined };
    const next = analyse(applyEdits(present.text, edits), settings, memory);
    if (next.text === present.text || countOwn(next) > countOwn(present)) break;
    edited.apply(edits);
    present = next;
  }
  return edited.edits();
}

/** How many findings have the chosen repair. */
export function countFixes({ findings }: Analysis, choice: FixChoice): number {
  return findings.filter((finding) => chosenFix(finding, choice)).length;
}

function countOwn({ findings }: Analysis): number {
  return findings.filter(({ rule }) => !isHouseId(rule)).length;
}

function roundOf(findings: readonly Finding[], choice: FixChoice): Edit[] {
  const taken: Edit[] = [];
  for (const finding of findings) {
    const edits = chosenFix(finding, choice)?.edits() ?? [];
    if (edits.every((edit) => taken.every((other) => isApart(edit, other)))) taken.push(...edits);
  }
  return taken;
}

function chosenFix(finding: Finding, choice: FixChoice): Fix | undefined {
  if (choice === "safe") return finding.fixes.find(({ safety }) => safety === "safe");
  return finding.rule === choice.rule ? finding.fixes.find(({ title }) => title === choice.title) : undefined;
}

/** Two insertions at one place, or an edit that begins where another ends, leave open which comes first. */
function isApart(a: Edit, b: Edit): boolean {
  return a.span.end < b.span.start || b.span.end < a.span.start;
}
