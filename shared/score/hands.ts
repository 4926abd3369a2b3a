import type { Part } from "./model.ts";

export type HandName = "right" | "left";

/** A staff of a part and the hand that plays it. */
export interface HarpStaff {
  readonly part: Part;
  readonly staff: number;
  readonly hand: HandName;
}

/** Which music of a score is the harp's, and which hand plays what. */
export interface HarpChoice {
  /** One part, or two parts of one staff each that are one harp. */
  readonly parts: readonly Part[];
  readonly staves: readonly HarpStaff[];
  /** What was assumed, in sentences; empty when the score says it all. */
  readonly assumptions: readonly string[];
}

export function handOf(harp: HarpChoice, part: Part, staff: number): HandName {
  const exact = harp.staves.find((entry) => entry.part === part && entry.staff === staff);
  if (exact) return exact.hand;
  return staff <= 1 ? "right" : "left";
}
