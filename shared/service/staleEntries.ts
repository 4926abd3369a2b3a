import type { Problem } from "../text/problem.ts";
import type { ReadEntry } from "./acceptedFile.ts";

/** What is said of an entry that no finding in its score fits. */
export function unmatchedEntry({ rule, score, span }: ReadEntry): Problem {
  return {
    severity: "warning",
    message: `Nothing that ${rule} finds in ${score} fits this entry: it was mended, or the notes or fingers there have changed. Take the entry out, or accept anew what is found now.`,
    span,
  };
}

/** What is said of an entry whose score is not there. */
export function missingScore({ score, span }: ReadEntry): Problem {
  return {
    severity: "warning",
    message: `There is no ${score} beside this file. Take the entry out, or name the score's file.`,
    span,
  };
}
