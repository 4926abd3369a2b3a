import type { HandName } from "../fingering/model.ts";
import type { WrittenHand } from "../fingering/written.ts";
import type { Edit } from "../text/edits.ts";
import { InputError } from "../text/problem.ts";
import type { Analysis } from "./analyse.ts";
import { type EventRange, fingerScore } from "./fingerScore.ts";
import { type HarpNote, measureAt, noteAt } from "./noteAt.ts";
import { proposal } from "./proposal.ts";

/** How much to finger, around a place in the text. */
export type Scope = "placing" | "bar" | "hand" | "score";

/** A scope that exists at a place. */
export interface ScopeAt {
  readonly scope: Scope;
  /** Whether fingers or brackets are printed in it, so that fingering it anew differs from completing it. */
  readonly printed: boolean;
}

/**
 * The scopes that a place in the text belongs to, smallest first: a note has a placing and a hand, a measure is a bar,
 * and every place is in the score. None when the score has no harp.
 */
export function scopesAt(analysis: Analysis, offset: number): ScopeAt[] {
  if (!analysis.harp || analysis.hands.length === 0) return [];
  const place = noteAt(analysis, offset)?.place;
  const scopes: ScopeAt[] = [];
  const add = (scope: Scope, ranges: ReadonlyMap<HandName, EventRange>): void => {
    if (ranges.size > 0) scopes.push({ scope, printed: hasPrint(analysis, ranges) });
  };
  // Only the note itself is looked at: where its placing ends is a question for the search.
  if (place) add("placing", new Map([[place.written.hand, { first: place.event, last: place.event }]]));
  add("bar", barRanges(analysis, offset));
  if (place) add("hand", new Map([[place.written.hand, wholeLine(place.written)]]));
  add("score", new Map(analysis.hands.map((written) => [written.hand, wholeLine(written)])));
  return scopes;
}

/**
 * The edits that finger what lies around a place in the text.
 *
 * @param mode `keep` completes what is printed, `fresh` fingers the scope anew and keeps what is printed around it.
 * @returns no edits when everything is printed as it would be written.
 * @throws InputError when the score has no harp or the place is in no such scope; it says where to point instead.
 */
export function fingerAt(
  analysis: Analysis,
  offset: number,
  scope: Scope,
  mode: "keep" | "fresh",
): readonly Edit[] {
  return fingerScore(analysis, { mode, ranges: rangesOf(analysis, offset, scope) }).edits;
}

function rangesOf(analysis: Analysis, offset: number, scope: Scope): Map<HandName, EventRange> | undefined {
  if (scope === "score" || !analysis.harp) return undefined;
  if (scope === "bar") {
    const ranges = barRanges(analysis, offset);
    if (ranges.size === 0)
      throw new InputError("No notes of the harp here. Put the cursor in a bar that has some.");
    return ranges;
  }
  const place = noteAt(analysis, offset)?.place;
  if (!place)
    throw new InputError("No note that the harp plucks is here. Put the cursor in a <note> of the harp.");
  return new Map([
    [place.written.hand, scope === "hand" ? wholeLine(place.written) : placingRange(analysis, place)],
  ]);
}

function wholeLine(written: WrittenHand): EventRange {
  return { first: 0, last: written.line.events.length - 1 };
}

/** The events of each hand in the bar of this place. */
function barRanges(analysis: Analysis, offset: number): Map<HandName, EventRange> {
  const ranges = new Map<HandName, EventRange>();
  const measure = measureAt(analysis, offset);
  if (!measure) return ranges;
  for (const { hand, line } of analysis.hands) {
    const inside = (event: (typeof line.events)[number]): boolean =>
      event.notes[0]!.note.measure.index === measure.index;
    const first = line.events.findIndex(inside);
    if (first >= 0) ranges.set(hand, { first, last: line.events.findLastIndex(inside) });
  }
  return ranges;
}

/** The placing of a note: the printed one, else the one that completing the print gives it. */
function placingRange(analysis: Analysis, { written, event }: NonNullable<HarpNote["place"]>): EventRange {
  const holds = (range: EventRange): boolean => range.first <= event && event <= range.last;
  const placing = written.placings.find(holds) ?? proposal(analysis, written).placings.find(holds);
  return placing ? { first: placing.first, last: placing.last } : { first: event, last: event };
}

function hasPrint(analysis: Analysis, ranges: ReadonlyMap<HandName, EventRange>): boolean {
  return analysis.hands.some((written) => {
    const range = ranges.get(written.hand);
    if (!range) return false;
    return (
      written.placings.some(({ first, last }) => first <= range.last && last >= range.first) ||
      written.line.events
        .slice(range.first, range.last + 1)
        .some((event) =>
          event.notes.some(({ note, doubles }) => [note, ...doubles].some((n) => n.fingerings.length > 0)),
        )
    );
  });
}
