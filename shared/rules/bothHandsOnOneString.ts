import { defineRule, type RuleInput } from "./define.ts";
import { nameOf, placeOfNote } from "./support/places.ts";
import {
  bothHands,
  isForTwoHarps,
  isOutOfTime,
  isTempoKnown,
  type PlayedEvent,
  playedTogether,
  secondsWords,
} from "./support/timing.ts";
import { isUnclearlyGiven } from "./support/unclearMarks.ts";

/** One hand has to be off a string this long before the other plucks it. From memory: an estimate. */
const clearMicros = 250_000;

export const bothHandsOnOneString = defineRule({
  id: "both-hands-on-one-string",
  severity: "warning",
  summary:
    "Both hands pluck one string within a quarter of a second (warning), or both have a finger for it at once (info).",
  why: "Two fingers cannot be on one string. The second hand has to come to a string that the first has only just left, and stops its sound; one hand plays both notes more easily.",
  bad: "R: @120 r/0.25 G4/0.25 r/3.5 // L: G4/0.25 D4/0.25 r/3.5",
  good: "R: @120 r/0.25 B4/0.25 r/3.5 // L: G4/0.25 D4/0.25 r/3.5",
  fixes: [],
  check(input, report) {
    const both = bothHands(input);
    if (!both || isForTwoHarps(input.harp)) return;
    for (const { earlier, later, string } of single(meetings(input, playedTogether(both.right, both.left)))) {
      const micros = later.at.atMicros - earlier.at.atMicros;
      const entries = [earlier, later].map(({ at }) => at.notes.find((entry) => entry.string === string)!);
      if (micros === 0 && ![earlier, later].every((played) => hasFinger(played, string))) continue;
      const tooFast = micros > 0 && micros < input.weights.hardLimits.placedMicros && isTempoKnown(input);
      report({
        span: placeOfNote(entries[1]!),
        severity: micros === 0 ? "info" : tooFast ? "error" : undefined,
        message:
          micros === 0
            ? atOnceMessage(nameOf(entries[1]!))
            : closeMessage(input, earlier, later, nameOf(entries[1]!)),
        at: later,
        related: [
          {
            span: placeOfNote(entries[0]!),
            message: `The ${earlier.hand.hand} hand plucks ${nameOf(entries[0]!)} here.`,
          },
        ],
      });
    }
  },
});

interface Meeting {
  /** Doubtful words give one of the notes to its hand. */
  readonly unclear: boolean;
  readonly string: number;
  readonly earlier: PlayedEvent;
  readonly later: PlayedEvent;
}

/** Strings that one hand plucks soon after the other, or with it. */
function meetings(input: RuleInput, played: readonly PlayedEvent[]): Meeting[] {
  const latest = new Map<number, PlayedEvent>();
  const found: Meeting[] = [];
  for (const later of played) {
    const skipped = isOutOfTime(later.hand, later.event);
    for (const { string } of later.at.notes) {
      const earlier = latest.get(string);
      if (skipped) latest.delete(string);
      else latest.set(string, later);
      if (skipped || !earlier || earlier.hand === later.hand) continue;
      if (later.at.atMicros - earlier.at.atMicros >= clearMicros) continue;
      const unclear = [earlier, later].some(({ hand, event }) => isUnclearlyGiven(input, hand, event));
      found.push({ string, earlier, later, unclear });
    }
  }
  return found;
}

/** Without strings that go to and fro between the hands: a quick repeated note or a tremolo that they share. */
function single(found: readonly Meeting[]): Meeting[] {
  const ends = new Set(found.map(({ string, later }) => `${string} ${later.hand.hand} ${later.event}`));
  const starts = new Set(
    found.map(({ string, earlier }) => `${string} ${earlier.hand.hand} ${earlier.event}`),
  );
  return found.filter(
    ({ string, earlier, later, unclear }) =>
      !unclear &&
      !ends.has(`${string} ${earlier.hand.hand} ${earlier.event}`) &&
      !starts.has(`${string} ${later.hand.hand} ${later.event}`),
  );
}

function hasFinger({ hand, event, at }: PlayedEvent, string: number): boolean {
  return hand.fingers[event]![at.notes.findIndex((entry) => entry.string === string)] !== undefined;
}

function atOnceMessage(name: string): string {
  return `Both hands have a finger for ${name} at the same time; one hand plays it.`;
}

function closeMessage(input: RuleInput, earlier: PlayedEvent, later: PlayedEvent, name: string): string {
  const seconds = secondsWords(input, later.at.atMicros - earlier.at.atMicros);
  return `The ${later.hand.hand} hand plucks ${name} ${seconds} after the ${earlier.hand.hand} hand: it has to come to a string that the other has only just left. Give both notes to one hand.`;
}
