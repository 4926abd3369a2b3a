// What house rules import: `import { defineRule, tryRule } from "placewright/rules"`.
//
// These parts of what a rule looks at stay as they are from version to version: `text`; of each of `hands` its `hand`,
// `fingers`, `placings` (`first`, `last`) and `line.events`; of an event its `notes` (lowest first), `onset`, `atMicros`
// and `grace`; of its notes `string` and `note`, and of that `pitch`, `measure.number`, `position`, `duration`, `staff`,
// `voice` and `fingerings` (`text`, `number`, `span`); `tempo`, and the `harp` and `open` of `instrument`. All else may change.
import type { WrittenHand } from "../fingering/written.ts";
import { setFingering } from "../musicxml/fingeringEdits.ts";
import type { Rule, RuleInput } from "../rules/define.ts";
import { isHouseId } from "../rules/house.ts";
import { nameOf, placeOfNote } from "../rules/support/places.ts";
import type { EventNote } from "../score/handLines.ts";
import { type Edit, EditBuilder } from "../text/edits.ts";
import { InputError } from "../text/problem.ts";
import type { Span } from "../text/span.ts";

export type { WrittenHand, WrittenPlacing } from "../fingering/written.ts";
export type {
  Fix,
  FixKind,
  RelatedPlace,
  Report,
  Rule,
  RuleInput,
  Severity,
} from "../rules/define.ts";
export type { EventNote, LineEvent } from "../score/handLines.ts";
export type { Note, WrittenFingering } from "../score/model.ts";
export type { Edit } from "../text/edits.ts";
export type { Span } from "../text/span.ts";
export { type TryOptions, tryRule } from "./tryRule.ts";

/**
 * A rule of the house, as it was passed in.
 *
 * @throws InputError when its id is not two names with a slash between them, such as `our-series/digits-above`.
 */
export function defineRule(rule: Rule): Rule {
  if (!isHouseId(rule.id)) {
    throw new InputError(
      `A rule's id is two names with a slash between them, such as our-series/digits-above, not ${JSON.stringify(rule.id)}.`,
    );
  }
  return rule;
}

/** Collects edits for a repair; `finish()` gives them. Offsets count UTF-16 units of the text as it is. */
export function edit(): EditBuilder {
  return new EditBuilder();
}

/** Where a finding about a note points: at its finger, or at the note's start tag when it has none. */
export function placeOf(entry: EventNote): Span {
  return placeOfNote(entry);
}

/** The note as written: `G4`, `Bb3`. */
export function pitchOf(entry: EventNote): string {
  return nameOf(entry);
}

/**
 * The edits that give a note another finger, 1 (thumb) to 4; none when it has that already. What is there keeps its
 * attributes; a new one stands above for the right hand, below for the left.
 */
export function fingerEdits(
  { text }: RuleInput,
  { hand }: WrittenHand,
  { note }: EventNote,
  finger: number,
): readonly Edit[] {
  const edit = setFingering(text, note.site, String(finger), hand === "right" ? "above" : "below");
  return edit ? [edit] : [];
}
