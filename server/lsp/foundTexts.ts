import { isDeepStrictEqual } from "node:util";
import type { Settings } from "../../shared/service/settings.ts";
import { type BlankChange, blankChange, spanAfter } from "../../shared/text/blankChange.ts";
import type { Span } from "../../shared/text/span.ts";
import type { Found } from "./threadWork.ts";

interface FoundText {
  readonly text: string;
  readonly settings: Settings;
  readonly found: Found;
}

/** The text before the last change and that one: what is undone is one of them again. */
const mostTexts = 2;

/**
 * What was found in the last texts of one document. A text that comes again, and one that differs from the last one in
 * blanks between tags only, is not read anew.
 */
export class FoundTexts {
  /** The one that was asked about last comes last. */
  #known: FoundText[] = [];

  /** What is known of a text, or else what `find` gives. */
  of(text: string, settings: Settings, find: () => Found): Found {
    const alike = this.#known.filter((each) => isDeepStrictEqual(each.settings, settings));
    const same = alike.find((each) => each.text === text);
    const last = alike.at(-1);
    const found = same?.found ?? (last && movedOver(last, text)) ?? find();
    this.#known = [...this.#known.filter((each) => each !== same), { text, settings, found }].slice(
      -mostTexts,
    );
    return found;
  }
}

/** What was found in a text, in one that differs from it in blanks between tags only; undefined for any other. */
function movedOver({ text, found }: FoundText, now: string): Found | undefined {
  // In a text that is broken even blanks may matter.
  if (found.problems.some(({ severity }) => severity === "error")) return undefined;
  const change = blankChange(text, now);
  return change && moved(found, change);
}

class CannotTell extends Error {}

function moved({ problems, findings, unmatched }: Found, change: BlankChange): Found | undefined {
  const after = (span: Span): Span => {
    const now = spanAfter(change, span);
    if (!now) throw new CannotTell();
    return now;
  };
  const at = <T extends { readonly span: Span }>(each: T): T => ({ ...each, span: after(each.span) });
  try {
    return {
      problems: problems.map(at),
      findings: findings.map((each) => ({ ...at(each), related: each.related.map(at) })),
      unmatched,
    };
  } catch (error) {
    if (error instanceof CannotTell) return undefined;
    throw error;
  }
}
