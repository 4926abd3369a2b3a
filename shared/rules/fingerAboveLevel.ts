import type { Solution } from "../fingering/model.ts";
import type { WrittenHand } from "../fingering/written.ts";
import { defineRule, type Fix, type RuleInput } from "./define.ts";
import { anewEdits, freeStretch, solvedAnew } from "./support/anew.ts";
import { eventName, inWords, nameOf, numberWord, placeOfNote, startTagOf } from "./support/places.ts";
import { notesOf, placingsTouching } from "./support/printedPlacings.ts";
import { wideReach } from "./support/reach.ts";
import { costs, type EventRange } from "./support/solveAround.ts";

const anew = { title: "Finger this with the fingers of the chosen level", safety: "ask" } as const;

export const fingerAboveLevel = defineRule({
  id: "finger-above-level",
  severity: "info",
  summary: "A finger is needed that the chosen level does not use yet.",
  why: "Beginners play with two or three fingers first. What asks for the others is simplified or comes later.",
  bad: "C4/2:4+A4:1",
  good: "C4/2:3+A4:1",
  given: { words: "for a player who uses three fingers", profile: { level: 3 } },
  fixes: [anew],
  check(input, report) {
    const { level } = input.weights;
    const used = ([1, 2, 3, 4] as const).filter((finger) => level[finger] === 0).length;
    if (used === 4) return;
    for (const hand of input.hands) {
      let after = 0;
      hand.line.events.forEach(({ notes }, event) => {
        if (event < after) return;
        const printed = hand.fingers[event]!;
        const above = notes.filter((_, j) => printed[j] !== undefined && printed[j]! > used);
        const uses = `the chosen level uses ${numberWord(used)} fingers`;
        if (above.length > 0) {
          const range = rangeOf(input, hand, event);
          after = range.last + 1;
          const fingers = notes.flatMap((_, j) => (printed[j]! > used ? [printed[j]!] : []));
          report({
            span: placeOfNote(above[0]!),
            message: `${inWords(above.map(nameOf))} has finger ${inWords(fingers.map(String))}; ${uses}.`,
            at: { hand, event },
            over: range,
            fixes: fixesFor(input, hand, range, used),
          });
        } else if (
          notes.length > used &&
          notes.length <= 4 &&
          printed.every((finger) => finger === undefined)
        ) {
          report({
            span: startTagOf(notes[0]!.note),
            message: `${eventName(hand, event)} takes ${numberWord(notes.length)} fingers; ${uses}.`,
            at: { hand, event },
          });
        }
      });
    }
  },
});

/** The events of the placing that holds this one: what is told of once. */
function rangeOf(input: RuleInput, hand: WrittenHand, event: number): EventRange {
  const placing = placingsTouching(input, hand, event, event).find(({ last }) => last > event);
  return { first: event, last: placing?.last ?? event };
}

/** A reach that the fingers which are left take only with a stretch. */
function isWide(
  input: RuleInput,
  hand: WrittenHand,
  { placings, fingers }: Solution,
  range: EventRange,
): boolean {
  return placings
    .filter(({ first, last }) => first <= range.last && last >= range.first)
    .some(({ first, last }) => {
      const notes = notesOf(hand, first, last).map((note) => ({
        ...note,
        finger: fingers[note.event]![note.stringAt],
      }));
      const rolled = first === last && hand.line.events[first]!.rolled;
      return wideReach({ first, last, notes, bracket: undefined, rolled }, input.weights) !== undefined;
    });
}

/** No fix where fewer fingers do not do. */
function fixesFor(input: RuleInput, hand: WrittenHand, range: EventRange, used: number): Fix[] {
  const stretch = freeStretch(input, hand, { first: Math.max(0, range.first - 1), last: range.last });
  const solution = solvedAnew(input, hand, stretch);
  for (let event = stretch.first; event <= stretch.last; event += 1) {
    if (solution.fingers[event]!.some((finger) => finger === undefined || finger > used)) return [];
  }
  if (costs(solution, stretch, ["lock", "tooWide", "tooMany", "tooFast"])) return [];
  if (isWide(input, hand, solution, stretch)) return [];
  return [{ ...anew, edits: () => anewEdits(input, hand, solution, stretch) }];
}
