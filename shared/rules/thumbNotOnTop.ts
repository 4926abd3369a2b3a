import type { WrittenHand } from "../fingering/written.ts";
import type { EventNote } from "../score/handLines.ts";
import type { Note } from "../score/model.ts";
import { add, compare } from "../score/rational.ts";
import { defineRule, type Report, type RuleInput } from "./define.ts";
import { refingerFixes } from "./support/fixes.ts";
import { nameOf, namesOf, placeOfNote } from "./support/places.ts";
import { hasSpecialSound, inOrder, type PrintedPlacing, printedPlacings } from "./support/printedPlacings.ts";
import { wideReach } from "./support/reach.ts";
import { withoutKeptAlike } from "./support/returns.ts";
import { allBut, allPrinted, solveAround, tellingMilli } from "./support/solveAround.ts";

const anew = { title: "Finger these notes anew, thumb on top", safety: "ask" } as const;

export const thumbNotOnTop = defineRule({
  id: "thumb-not-on-top",
  severity: "warning",
  summary: "The highest note of a chord or of a bracket is not the thumb's.",
  why: "The thumb holds the top of a placing: the hand hangs from it and closes against it. Without it the upper fingers have nothing to play against.",
  bad: "(C4:4 D4:3 E4:2)",
  good: "(C4:3 D4:2 E4:1)",
  fixes: [anew],
  check(input, report) {
    for (const hand of input.hands) {
      // A turning note may be the top of two brackets.
      const told = new Set<EventNote>();
      const reports: (Report & { readonly event: number })[] = [];
      for (const placing of printedPlacings(input, hand)) {
        const { notes } = placing;
        const top = notes[notes.length - 1]!;
        if (top.finger === undefined || top.finger === 1 || told.has(top.entry)) continue;
        if (!inOrder(notes) || hasSpecialSound(notes) || isThumbSaved(input, hand, placing)) continue;
        if (wideReach(placing, input.weights)?.severity === "error") continue;
        const fingered = notes.filter(({ finger }) => finger !== undefined);
        const fixed = [{ event: top.event, stringAt: top.stringAt, finger: 1 as const }];
        const printed = solveAround(input, hand, placing, allPrinted).totalMilli;
        const withThumb = solveAround(input, hand, placing, { ...allBut(fingered), fixed }).totalMilli;
        if (withThumb + tellingMilli > printed) continue;
        told.add(top.entry);
        const chord = placing.first === placing.last;
        reports.push({
          event: top.event,
          span: placeOfNote(top.entry),
          message: `${nameOf(top.entry)} is the highest of ${namesOf(notes.map(({ entry }) => entry))}${chord ? "" : " under one bracket"} and has finger ${top.finger}, not the thumb.`,
          at: { hand, event: top.event },
          fixes: refingerFixes(input, hand, anew, fingered, fixed),
        });
      }
      for (const { event: _, ...found } of withoutKeptAlike(input, hand, reports)) report(found);
    }
  },
});

/** How far back a note may lie that the thumb still holds. */
const eventsBack = 8;

/**
 * The thumb has a higher string just before or after, or holds one that still sounds, as a melody above its own
 * accompaniment: it is kept for that note.
 */
function isThumbSaved(input: RuleInput, hand: WrittenHand, { first, last, notes }: PrintedPlacing): boolean {
  const top = notes[notes.length - 1]!.entry.string;
  const { events } = hand.line;
  const hasThumbAbove = (event: number, when: (note: Note) => boolean): boolean =>
    events[event]?.notes.some(
      (entry, j) => entry.string > top && hand.fingers[event]![j] === 1 && when(entry.note),
    ) ?? false;
  const near = (from: number, to: number): boolean =>
    events[to] !== undefined &&
    events[from] !== undefined &&
    events[to]!.atMicros - events[from]!.atMicros < input.weights.separate.beforeMicros;
  if (near(last, last + 1) && hasThumbAbove(last + 1, () => true)) return true;
  if (near(first - 1, first) && hasThumbAbove(first - 1, () => true)) return true;
  for (let event = first - 2; event >= Math.max(0, first - eventsBack); event -= 1) {
    const { onset } = events[event]!;
    const sounds = (note: Note): boolean =>
      note.tie.start || compare(add(onset, note.duration), events[first]!.onset) > 0;
    if (hasThumbAbove(event, sounds)) return true;
  }
  return false;
}
