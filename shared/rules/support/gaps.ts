import { impliedEvents, type PrintedAmount } from "../../fingering/implied.ts";
import type { WrittenHand } from "../../fingering/written.ts";
import type { EventNote, LineEvent } from "../../score/handLines.ts";
import { soundsSpecial } from "./printedPlacings.ts";
import type { EventRange } from "./solveAround.ts";
import { notesFingeredInText } from "./textFingers.ts";

/** Of one hand at once. */
const mostFingers = 4;
/** A longer stretch without fingers was left so on purpose. */
const mostEvents = 4;
/** How many events around are looked at, how many there must be at least, and the share that must have fingers. */
const surrounding = { events: 10, least: 5, share: 0.8 };

/**
 * So many short gaps, and so many of them to a fingered event, are no slips: only what the player would not find is
 * fingered. Estimates, no source; in editions that finger so there is one gap to two to five fingered events.
 */
const sparse = { leastGaps: 6, share: 0.15 };

/**
 * The stretches of events without a finger in the midst of music that has them.
 *
 * @param amount with `decisions` a note that its bracket and the fingers under it leave no choice has its finger.
 */
export function gapsOf(hand: WrittenHand, amount: PrintedAmount = "every"): readonly EventRange[] {
  return survey(hand, amount).gaps;
}

/** True when an event would be in such a stretch once it has no finger. */
export function wouldBeGap(hand: WrittenHand, event: number, amount: PrintedAmount = "every"): boolean {
  const { states, sparse: meant } = survey(hand, amount);
  if (meant) return false;
  let first = event;
  let last = event;
  while (states[first - 1] === "missing") first -= 1;
  while (states[last + 1] === "missing") last += 1;
  return isGap(hand, states, { first, last });
}

interface Survey {
  /** In order. */
  readonly gaps: readonly EventRange[];
  /** As they are once the gaps are filled. */
  readonly states: readonly State[];
  /** Fingers are printed at decisions only: a note without one is no slip. */
  readonly sparse: boolean;
}

const known = {
  every: new WeakMap<WrittenHand, Survey>(),
  decisions: new WeakMap<WrittenHand, Survey>(),
};

/** Gaps that are found count as filled for those near them, so that filling some brings out no others. */
function survey(hand: WrittenHand, amount: PrintedAmount): Survey {
  const before = known[amount].get(hand);
  if (before) return before;
  const states = statesOf(hand, amount);
  const gaps: EventRange[] = [];
  let runs = missingRuns(states);
  const meant = isSparse(states, runs);
  if (meant) runs = [];
  for (let found = true; found; ) {
    const now = runs.filter((run) => isGap(hand, states, run));
    for (const { first, last } of now) states.fill("fingered", first, last + 1);
    gaps.push(...now);
    runs = runs.filter((run) => !now.includes(run));
    found = now.length > 0;
  }
  gaps.sort((a, b) => a.first - b.first);
  const found = { gaps, states, sparse: meant };
  known[amount].set(hand, found);
  return found;
}

function isSparse(states: readonly State[], runs: readonly EventRange[]): boolean {
  const short = runs.filter(
    ({ first, last }) => first > 0 && last < states.length - 1 && last - first < mostEvents,
  );
  const fingered = states.filter((state) => state === "fingered").length;
  return short.length >= sparse.leastGaps && short.length >= sparse.share * fingered;
}

function isGap(hand: WrittenHand, states: readonly State[], run: EventRange): boolean {
  return run.last - run.first < mostEvents && isAmongFingered(states, run) && !isRepeat(hand, states, run);
}

/** `silent`: nothing can be told from it, because its finger is implied or seldom printed. */
type State = "fingered" | "missing" | "silent";

function statesOf(hand: WrittenHand, amount: PrintedAmount): State[] {
  const implied = amount === "decisions" ? impliedEvents(hand) : [];
  const { events } = hand.line;
  const gracesFingered = events.some((event) => event.grace && event.notes.some(hasFinger));
  const states: State[] = [];
  events.forEach((event, i) => {
    if (isFingered(event) || implied[i]) states.push("fingered");
    else if (event.grace && !gracesFingered) states.push("silent");
    else if (soundsSpecial(event)) states.push("silent");
    else if (isSameAgain(hand, i, i - 1) && states[i - 1] !== "missing") states.push("silent");
    else states.push("missing");
  });
  return states;
}

/** True when a finger of any kind is printed at a note. */
export function hasFinger(entry: EventNote): boolean {
  return [entry.note, ...entry.doubles].some((note) => note.fingerings.some(({ text }) => text !== ""));
}

/**
 * Every note has a finger, be it in words, or a chord has its outer ones, or one note of the chord carries all of them.
 * More notes than fingers are another matter.
 */
function isFingered({ notes, part }: LineEvent): boolean {
  const inText = notesFingeredInText(part);
  const own = notes.filter((entry) => hasFinger(entry) || inText.has(entry.note)).length;
  if (own === notes.length || own >= mostFingers) return true;
  if (notes.length > 2 && hasFinger(notes[0]!) && hasFinger(notes[notes.length - 1]!)) return true;
  return notes.length > 1 && notes.some(({ note }) => note.fingerings.length >= notes.length);
}

function isSameAgain(hand: WrittenHand, event: number, earlier: number): boolean {
  const before = hand.line.events[earlier]?.notes;
  const here = hand.line.events[event]!.notes;
  return before?.length === here.length && here.every(({ string }, i) => string === before[i]!.string);
}

function missingRuns(states: readonly State[]): EventRange[] {
  const runs: EventRange[] = [];
  for (let i = 0; i < states.length; i += 1) {
    if (states[i] !== "missing") continue;
    const first = i;
    while (states[i + 1] === "missing") i += 1;
    runs.push({ first, last: i });
  }
  return runs;
}

/** The nearest events before and after, half of them from each side where there are as many. */
function isAmongFingered(states: readonly State[], { first, last }: EventRange): boolean {
  const near = (from: number, step: number): State[] => {
    const found: State[] = [];
    for (let i = from; i >= 0 && i < states.length && found.length < surrounding.events; i += step) {
      if (states[i] !== "silent") found.push(states[i]!);
    }
    return found;
  };
  const before = near(first - 1, -1);
  const after = near(last + 1, 1);
  const half = surrounding.events / 2;
  const around = [
    ...before.slice(0, Math.max(half, surrounding.events - after.length)),
    ...after.slice(0, Math.max(half, surrounding.events - before.length)),
  ];
  const fingered = around.filter((state) => state === "fingered").length;
  return around.length >= surrounding.least && fingered >= surrounding.share * around.length;
}

/** The notes repeat, one by one, those just before them, whose fingers are taken to hold on. */
function isRepeat(hand: WrittenHand, states: readonly State[], { first, last }: EventRange): boolean {
  const count = last - first + 1;
  if (count < 2) return false;
  for (let event = first; event <= last; event += 1) {
    if (states[event - count] !== "fingered" || !isSameAgain(hand, event, event - count)) return false;
  }
  return true;
}
