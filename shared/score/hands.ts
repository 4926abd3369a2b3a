import type { Note, Part } from "./model.ts";

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
  /** Notes that are not their staff's hand's: words or their voice give them to the other. */
  readonly exceptions: ReadonlyMap<Note, HandName>;
  /** Notes that the player plays on another instrument, before or after taking the harp. */
  readonly otherInstrument: ReadonlySet<Note>;
  /** What was assumed, in sentences; empty when the score says it all. */
  readonly assumptions: readonly string[];
}

/** What a person decided about the hands. */
export interface HandOptions {
  /** The hand of each staff, from the top. */
  readonly staves?: readonly HandName[];
  /**
   * Whose a note is whose voice has crossed to the other staff: the staff's hand, the voice's own, or, by default, the
   * voice's own where the staff has other notes in the same bar.
   */
  readonly crossStaff?: "auto" | "staff" | "voice";
  /** Whether words such as `l.h.` say which hand plays; they do by default. */
  readonly marks?: "follow" | "ignore";
}

/** The hand that plays a staff. */
export function handOf(harp: HarpChoice, part: Part, staff: number): HandName {
  for (const entry of harp.staves) if (entry.part === part && entry.staff === staff) return entry.hand;
  return staff <= 1 ? "right" : "left";
}

/** The hand that plays a note; undefined for one that is not the harp's. */
export function handOfNote(harp: HarpChoice, part: Part, note: Note): HandName | undefined {
  if (harp.otherInstrument.has(note)) return undefined;
  return harp.exceptions.get(note) ?? handOf(harp, part, note.staff);
}
