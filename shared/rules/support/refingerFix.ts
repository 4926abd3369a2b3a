import { refinger } from "../../fingering/refinger.ts";
import { writeFingering } from "../../fingering/write.ts";
import { keepOutside, type WrittenHand } from "../../fingering/written.ts";
import type { Fix, RuleInput } from "../define.ts";

/** The fix that fingers a range of events anew, keeping all that is printed around it. */
export function refingerFix(
  input: RuleInput,
  hand: WrittenHand,
  range: { readonly first: number; readonly last: number },
  title: string,
): Fix {
  return {
    title,
    safety: "ask",
    edits: () => {
      const solution = refinger(hand, input.weights, keepOutside(range));
      return writeFingering(input, [{ written: hand, solution, range }], { replace: true });
    },
  };
}
