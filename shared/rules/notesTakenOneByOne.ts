import type { Solution } from "../fingering/model.ts";
import type { WrittenHand } from "../fingering/written.ts";
import { defineRule, type RuleInput } from "./define.ts";
import { easierEdits, easierFingers } from "./support/easierFingers.ts";
import { fingerAgain, isStaccato, runsOf } from "./support/fingerRuns.ts";
import { inWords, nameOf, placeOfNote } from "./support/places.ts";
import type { EventRange } from "./support/solveAround.ts";
import { replaceMicros } from "./support/times.ts";

const group = { title: "Finger these notes as one placing", safety: "ask" } as const;

/** Fewer notes than this may be an accent; more are an exercise for this finger. */
const notesOfRun = { fewest: 3, most: 8 };

export const notesTakenOneByOne = defineRule({
  id: "notes-taken-one-by-one",
  severity: "info",
  summary: "One finger hops from string to string where a placing would take the notes together.",
  why: "Notes that lie under one hand are placed together and played finger by finger: the hand stays quiet, and nothing has to be found anew for every note.",
  bad: "@60 C4:2 D4:2 E4:2 F4:1",
  good: "@60 C4:4 D4:3 E4:2 F4:1",
  fixes: [group],
  check(input, report) {
    for (const hand of input.hands) {
      for (const run of runsOf(hand, (event) => isHop(input, hand, event))) {
        const length = run.last - run.first + 1;
        if (length < notesOfRun.fewest || length > notesOfRun.most || !isOneWay(hand, run)) continue;
        const easier = easierFingers(input, hand, run, (solution) => isPlaced(solution, run));
        if (!easier) continue;
        const entries = hand.line.events.slice(run.first, run.last + 1).map(({ notes }) => notes[0]!);
        const finger = hand.fingers[run.first]![0];
        report({
          span: placeOfNote(entries[0]!),
          message: `${inWords(entries.map(nameOf))} are each taken with finger ${finger}; the hand could be placed over them.`,
          at: { hand, event: run.first },
          related: entries.slice(1).map((entry) => ({
            span: placeOfNote(entry),
            message: `${nameOf(entry)} has finger ${finger} as well.`,
          })),
          fixes: [{ ...group, edits: () => easierEdits(input, hand, easier) }],
        });
      }
    }
  },
});

/** One finger goes to another string, with time for it but none to spare. The thumb may carry a melody by itself. */
function isHop(input: RuleInput, hand: WrittenHand, event: number): boolean {
  const [here, next] = [hand.line.events[event]!, hand.line.events[event + 1]];
  if (!next || here.notes.length > 1 || next.notes.length > 1) return false;
  const micros = next.atMicros - here.atMicros;
  if (micros < replaceMicros || micros >= input.weights.separate.beforeMicros) return false;
  if (hand.fingers[event]![0] === 1 || isStaccato(hand, event)) return false;
  const again = fingerAgain(input, hand, event);
  return again !== undefined && again.before.entry.string !== again.after.entry.string;
}

/** A placing takes as many of the notes as make a run. */
function isPlaced({ placings }: Solution, run: EventRange): boolean {
  return placings.some(
    ({ first, last }) => Math.min(last, run.last) - Math.max(first, run.first) + 1 >= notesOfRun.fewest,
  );
}

function isOneWay({ line }: WrittenHand, { first, last }: EventRange): boolean {
  const strings = line.events.slice(first, last + 1).map(({ notes }) => notes[0]!.string);
  const way = Math.sign(strings[1]! - strings[0]!);
  return strings.every((string, i) => i === 0 || Math.sign(string - strings[i - 1]!) === way);
}
