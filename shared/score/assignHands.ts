import { listed } from "./chordFingerings.ts";
import type { HandName, HandOptions, HarpChoice } from "./hands.ts";
import { handMarks } from "./handWords.ts";
import type { Note, Part, Score } from "./model.ts";

/**
 * Finds the notes that another hand plays than their staff's. Words such as `l.h.` count first. A note whose voice has
 * crossed to the other staff is the voice's own hand's where the staff has notes of its own in the same bar, since that
 * hand is at work there; where it has none, the staff tells the hand, as harp music is commonly printed.
 */
export function assignHands(
  score: Score,
  { parts, staves }: Pick<HarpChoice, "parts" | "staves">,
  { crossStaff = "auto", marks = "follow" }: HandOptions,
): { exceptions: Map<Note, HandName>; assumptions: string[] } {
  const exceptions = new Map<Note, HandName>();
  const assumptions: string[] = [];
  for (const part of parts) {
    const handOfStaff = new Map(
      staves.filter((staff) => staff.part === part).map(({ staff, hand }) => [staff, hand]),
    );
    const hand = (staff: number): HandName => handOfStaff.get(staff) ?? (staff <= 1 ? "right" : "left");
    if (crossStaff !== "staff" && handOfStaff.size > 1) {
      const crossed = crossedNotes(part, hand, crossStaff === "voice");
      for (const [note, home] of crossed) exceptions.set(note, home);
      if (crossed.size > 0) {
        const bars = new Set([...crossed.keys()].map((note) => note.measure.number));
        assumptions.push(
          `Where a voice crosses the staves beside other notes, its notes stay with its own hand (measures ${listed(bars)}).`,
        );
      }
    }
    for (const mark of marks === "follow" ? handMarks(part, score.measureStarts) : []) {
      const given = mark.notes.filter((note) => (exceptions.get(note) ?? hand(note.staff)) !== mark.hand);
      for (const note of mark.notes) {
        if (hand(note.staff) === mark.hand) exceptions.delete(note);
        else exceptions.set(note, mark.hand);
      }
      if (given.length === 0) continue;
      const bars = new Set(given.map((note) => note.measure.number));
      assumptions.push(
        `${JSON.stringify(mark.words.text)} in measure ${mark.words.measure.number} gives notes of staff ${mark.words.staff} to the ${mark.hand} hand (measures ${listed(bars)}).`,
      );
    }
  }
  return { exceptions, assumptions };
}

/** A voice is at home on a staff that has at least this share of its notes. */
const homeShare = 2 / 3;

/** Notes away from the home staff of their voice, with the hand of that home, where that hand is meant. */
function crossedNotes(part: Part, handOf: (staff: number) => HandName, always: boolean): Map<Note, HandName> {
  const homes = homeStaves(part);
  const away = part.notes.filter((note) => {
    const home = homes.get(note.voice);
    return home !== undefined && handOf(home) !== handOf(note.staff);
  });
  if (away.length === 0) return new Map();
  const place = (note: Note): string => `${note.measure.index} ${note.staff}`;
  const inhabited = new Set(
    part.notes
      .filter((note) => (homes.get(note.voice) ?? note.staff) === note.staff && note.printed && !note.cue)
      .map(place),
  );
  return new Map(
    away
      .filter((note) => always || inhabited.has(place(note)))
      .map((note) => [note, handOf(homes.get(note.voice)!)]),
  );
}

function homeStaves(part: Part): Map<string, number> {
  const counts = new Map<string, Map<number, number>>();
  for (const { voice, staff } of part.notes) {
    const staves = counts.get(voice) ?? new Map<number, number>();
    staves.set(staff, (staves.get(staff) ?? 0) + 1);
    counts.set(voice, staves);
  }
  const homes = new Map<string, number>();
  for (const [voice, staves] of counts) {
    const total = [...staves.values()].reduce((sum, count) => sum + count, 0);
    for (const [staff, count] of staves) if (count >= homeShare * total) homes.set(voice, staff);
  }
  return homes;
}
