import type { Finding } from "./define.ts";

/** So many remarks that say the same are told as one. */
const fewest = 8;

/**
 * Findings as they are shown: where a rule remarks the same at eight places or more, the first of them stands for all,
 * with their number, their places, and the repairs of its own place. Remarks are the same when they differ in names of notes and in numbers only.
 * Errors and warnings have each a cause of their own, and stay single.
 *
 * @returns in the order of the findings. The list that is passed in has the repairs of every place.
 */
export function gather(findings: readonly Finding[]): Finding[] {
  const kinds = new Map<string, Finding[]>();
  for (const finding of findings) {
    if (finding.severity !== "info") continue;
    const kind = kindOf(finding);
    const alike = kinds.get(kind);
    if (alike) alike.push(finding);
    else kinds.set(kind, [finding]);
  }
  return findings.flatMap((finding) => {
    const alike = finding.severity === "info" ? kinds.get(kindOf(finding))! : [finding];
    if (alike.length < fewest) return [finding];
    return finding === alike[0] ? [together(alike)] : [];
  });
}

function together(alike: readonly Finding[]): Finding {
  const [first, ...others] = alike;
  return {
    ...first!,
    message: `${alike.length} places: ${first!.message}`,
    related: [...first!.related, ...others.map(({ message, span }) => ({ message, span }))],
  };
}

const kindsOf = new WeakMap<Finding, string>();

/** The rule and what it says, without what is different from place to place. */
function kindOf(finding: Finding): string {
  let kind = kindsOf.get(finding);
  if (kind === undefined) {
    const said = finding.message
      .replace(/"[^"]*"/g, '""')
      .replace(/\b[A-G](#|##|b|bb)?\d\b/g, "_")
      .replace(/\d+([./]\d+)?/g, "_")
      .replace(/_((,| and|-| to| or)? _)+/g, "_");
    kind = `${finding.rule} ${said}`;
    kindsOf.set(finding, kind);
  }
  return kind;
}
