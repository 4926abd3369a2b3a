import type { FixKind, Rule } from "./define.ts";

/** How the examples are written. */
export const notationKey =
  "In the examples C4:1 is a note and its finger, + joins the notes of a chord, r is a rest, ( and ) are the ends of a bracket, (^ starts a bracket on the other side of the staff, :^ a finger there, { is a bracket's start without an end, R: and L: name the hands, /2 is a length in quarter notes, _ a tie, ~ a grace note, <…> words before a note, =… a note's id, !misplaced a note whose voice stands last in the file, and @100 the tempo.";

/** All about one rule, as plain text of several lines. */
export function describeRule(rule: Rule): string {
  return [
    `${rule.id} (${rule.severity})`,
    rule.summary,
    "",
    `Why:   ${rule.why}`,
    `Bad:   ${rule.bad}${givenOf(rule)}`,
    `Good:  ${rule.good}${givenOf(rule)}`,
    `Fixes: ${rule.fixes.length > 0 ? rule.fixes.map(fixText).join("; ") : "none; something other than fingering has to change"}`,
    "",
    notationKey,
    "",
  ].join("\n");
}

/** All rules as a page of Markdown. */
export function rulesPage(rules: readonly Rule[]): string {
  return [
    "# Rules",
    "",
    "Made from the rules themselves by `describe.ts`; do not edit by hand.",
    "",
    "A rule's severity is `error` for what cannot be played or is wrong in the file, `warning` for what is doubtful, `info` for what is worth knowing. A safe fix keeps what the editor decided and may be applied everywhere at once; every other fix asks first.",
    "",
    notationKey,
    "",
    ...rules.map(({ id, severity, summary }) => `- [${id}](#${id}), ${severity}: ${summary}`),
    "",
    ...rules.flatMap(ruleSection),
  ].join("\n");
}

function givenOf({ given }: Rule): string {
  return given ? ` (${given.words})` : "";
}

function ruleSection(rule: Rule): string[] {
  return [
    `## ${rule.id}`,
    "",
    `${rule.summary} Severity: \`${rule.severity}\`.`,
    "",
    rule.why,
    "",
    `- bad: \`${rule.bad}\`${givenOf(rule)}`,
    `- good: \`${rule.good}\`${givenOf(rule)}`,
    `- fixes: ${rule.fixes.length > 0 ? rule.fixes.map(fixText).join("; ") : "none; something other than fingering has to change"}`,
    "",
  ];
}

function fixText({ title, safety }: FixKind): string {
  return `${title} (${safety === "safe" ? "safe" : "asks first"})`;
}
