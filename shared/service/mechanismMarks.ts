import { type MarkEdits, markEdits } from "../mechanism/markEdits.ts";
import { changesTooClose } from "../mechanism/pedalFeet.ts";
import { guardedText } from "../musicxml/guard.ts";
import { InputError } from "../text/problem.ts";
import type { Analysis } from "./analyse.ts";
import { fingeredText, type ScoreFingering } from "./fingerScore.ts";

/** What is written about levers or pedals, and what of it cannot be done. */
export interface WrittenMarks extends MarkEdits {
  /** How many changes there is no time for. */
  readonly withoutTime: number;
}

/**
 * The edits that write the setting before the first note and every change of the levers or pedals, where the print does
 * not say it yet.
 * @throws InputError when the score has no harp, or nobody said which harp it is and how it is tuned.
 */
export function writeMechanismMarks(analysis: Analysis): WrittenMarks {
  const { harp, levers, pedals, settings, problems } = analysis;
  if (!harp) throw new InputError(problems[0]?.message ?? "The score could not be read.");
  if (!levers && !pedals) {
    throw new InputError(
      'Which harp it is, and how a lever harp is tuned, is not known: name it under "harp".',
    );
  }
  const written = markEdits({ ...analysis, harp, tempo: settings.tempo }, settings.print);
  const withoutTime = levers
    ? levers.changes.filter(({ atMicros }) => atMicros === undefined).length
    : changesTooClose(pedals!.changes).length;
  return { ...written, withoutTime };
}

/**
 * The text with a fingering and marks of levers or pedals written into it.
 * @throws GuardError when anything but fingering, brackets and new marks would change.
 */
export function markedText(analysis: Analysis, fingering: ScoreFingering, marks: MarkEdits): string {
  if (marks.edits.length === 0) return fingeredText(analysis, fingering);
  return guardedText(analysis.text, [...fingering.edits, ...marks.edits], "mechanism marks added");
}
