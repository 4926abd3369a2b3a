import type { HandLine } from "../score/handLines.ts";
import type { Finger, Solution } from "./model.ts";
import { isOnePlacing, mainFingering, printedSlide, type WrittenHand } from "./written.ts";

/** How many fingers are printed: each, or only those that the others and the brackets leave open. */
export type PrintedAmount = "every" | "decisions";

interface Range {
  readonly first: number;
  readonly last: number;
}

/** A note of a placing and the finger that is known for it. */
interface PlacedFinger {
  readonly event: number;
  readonly stringAt: number;
  readonly finger: Finger | undefined;
}

/**
 * The notes of a fingering whose fingers are decisions: printed[i][j] for the note j of event i.
 *
 * The first note of a placing is one, and both outer notes of a chord. Of the rest of a placing nothing is printed where
 * the fingers that are leave it no choice, since fingers follow each other as strings do: after 4 under a bracket of
 * four notes, say, or between 3 and 1. A string that is plucked again at once with the same finger needs it no more, and
 * the notes of a crossing need theirs, as they show it. Common practice, no source.
 *
 * @param bracketed the ranges of events that have, or will have, a bracket, a pivot of a crossing left out.
 */
export function decisions(
  written: WrittenHand,
  solution: Solution,
  bracketed: readonly Range[],
): readonly (readonly boolean[])[] {
  const { line } = written;
  const shown = line.events.map(({ notes }) => notes.map(() => false));
  const has = new Set(bracketed.map(({ first, last }) => `${first} ${last}`));
  solution.placings.forEach(({ first, last }, i) => {
    const isSeen = first === last || has.has(`${first} ${last}`);
    const crossesOn = solution.placings[i + 1]?.joint === "cross";
    const slides = printedSlide(line, first) !== undefined;
    for (const { event, stringAt } of decisionsOf(written, solution, { first, last }, isSeen && !slides)) {
      shown[event]![stringAt] = true;
    }
    if (crossesOn) shown[last]!.fill(true);
  });
  for (let event = 1; event < line.events.length; event += 1) {
    const isPivot = solution.placings.some(({ joint, first }) => joint !== "separate" && first === event);
    if (!isPivot && isAlone(solution, event) && isSameAgain(line, solution, event)) shown[event]!.fill(false);
  }
  return shown;
}

function decisionsOf(
  written: WrittenHand,
  solution: Solution,
  range: Range,
  isSeen: boolean,
): readonly PlacedFinger[] {
  const all = notesIn(written.line, range).map(({ event, stringAt }) => ({
    event,
    stringAt,
    finger: solution.fingers[event]?.[stringAt],
  }));
  if (!isSeen || all.some(({ finger }) => finger === undefined)) return all;
  const isPrinted = ({ event, stringAt }: PlacedFinger): boolean =>
    mainFingering(written.line.events[event]!.notes[stringAt]!)?.number !== undefined;
  const outer = new Set([all[0], all[all.length - 1]]);
  const opening = all.filter(
    (note) => note.event === range.first && (range.first < range.last || outer.has(note)),
  );
  const closing = all.filter((note) => note.event === range.last);
  for (const kept of [opening, [...opening, ...closing]]) {
    const known = all.map((note) => (kept.includes(note) || isPrinted(note) ? note.finger : undefined));
    if (known.every((finger, i) => finger !== undefined || onlyFinger(known, i) === all[i]!.finger))
      return kept;
  }
  return all;
}

/** Lowest string first. */
function notesIn({ events }: HandLine, { first, last }: Range): { event: number; stringAt: number }[] {
  const notes: { event: number; stringAt: number; string: number }[] = [];
  for (let event = first; event <= last; event += 1) {
    events[event]!.notes.forEach(({ string }, stringAt) => {
      notes.push({ event, stringAt, string });
    });
  }
  return notes.sort((a, b) => a.string - b.string);
}

/**
 * The only finger that a note of a placing can have, or undefined: fingers fall from 4 to 1 as the strings rise, no two
 * alike, so that between two known ones there may be none to spare.
 *
 * @param known lowest string first; undefined where the finger is not printed.
 */
function onlyFinger(known: readonly (Finger | undefined)[], at: number): Finger | undefined {
  let below = at - 1;
  while (below >= 0 && known[below] === undefined) below -= 1;
  let above = at + 1;
  while (above < known.length && known[above] === undefined) above += 1;
  const greatest = known[below] ?? 5;
  const least = known[above] ?? 0;
  return greatest - least === above - below ? ((greatest - (at - below)) as Finger) : undefined;
}

function isAlone({ placings }: Solution, event: number): boolean {
  return placings.every(({ first, last }) => event < first || event > last || first === last);
}

function isSameAgain({ events }: HandLine, { fingers }: Solution, event: number): boolean {
  const [before, now] = [events[event - 1]!.notes, events[event]!.notes];
  return (
    !events[event]!.cutBefore &&
    before.length === now.length &&
    now.every(
      ({ string }, i) => string === before[i]!.string && fingers[event]![i] === fingers[event - 1]![i],
    )
  );
}

/** True for each event that needs no finger in print: its bracket, or its chord, and the fingers that are printed leave no choice. */
export function impliedEvents({ line, fingers, placings }: WrittenHand): readonly boolean[] {
  const implied = line.events.map(() => false);
  const seen: Range[] = [
    ...placings.filter((placing) => isOnePlacing(line, placing) && placing.first < placing.last),
    ...line.events.flatMap(({ notes }, event) => (notes.length > 1 ? [{ first: event, last: event }] : [])),
  ];
  for (const range of seen) {
    const notes = notesIn(line, range);
    const known = notes.map(({ event, stringAt }) => fingers[event]![stringAt]);
    // A placing without any finger is one that nobody has fingered yet.
    if (notes.length > 4 || known.every((finger) => finger === undefined)) continue;
    const told = known.map((finger, i) => finger !== undefined || onlyFinger(known, i) !== undefined);
    for (let event = range.first; event <= range.last; event += 1) {
      if (notes.every((note, i) => note.event !== event || told[i])) implied[event] = true;
    }
  }
  return implied;
}
