import type { Finger } from "../fingering/model.ts";
import { defineRule } from "./define.ts";
import { refingerFixes } from "./support/fixes.ts";
import { inWords, nameOf, namesOf, placeOfNote } from "./support/places.ts";
import { hasSpecialSound, notesOf, type PlacedNote } from "./support/printedPlacings.ts";
import { isFingeredForTwoHands, isOtherHandFree } from "./support/twoHands.ts";

const anew = { title: "Finger this chord anew", safety: "ask" } as const;

export const sameFingerTwiceInChord = defineRule({
  id: "same-finger-twice-in-chord",
  severity: "error",
  summary: "Two notes of one hand's chord have the same finger.",
  why: "A finger plucks one string at a time; a chord needs a finger for each of its strings.",
  bad: "C4:3+E4:2+G4:2",
  good: "C4:3+E4:2+G4:1",
  fixes: [anew],
  check(input, report) {
    for (const hand of input.hands) {
      hand.line.events.forEach((event, index) => {
        if (event.notes.length < 2 || event.notes.length > 4 || !hasOneTwice(hand.fingers[index]!)) return;
        const notes = notesOf(hand, index, index);
        if (hasSpecialSound(notes)) return;
        if (isFingeredForTwoHands(hand.fingers[index]!) && isOtherHandFree(input, hand, index)) return;
        const shared = ([1, 2, 3, 4] as const)
          .map((finger) => ({ finger, on: notes.filter((note) => note.finger === finger) }))
          .filter(({ on }) => on.length > 1);
        const [second] = shared.map(({ on }) => on[1]!).sort((a, b) => a.entry.string - b.entry.string);
        if (!second) return;
        report({
          span: placeOfNote(second.entry),
          message: `${inWords(shared.map(sharedWords))}: one finger for more than one note of a chord.`,
          at: { hand, event: index },
          related: shared
            .flatMap(({ on, finger }) => on.map((note) => ({ note, finger })))
            .filter(({ note }) => note !== second)
            .map(({ note, finger }) => ({
              span: placeOfNote(note.entry),
              message: `${nameOf(note.entry)} has finger ${finger}.`,
            })),
          fixes: refingerFixes(input, hand, anew, printed(notes)),
        });
      });
    }
  },
});

function hasOneTwice(fingers: readonly (Finger | undefined)[]): boolean {
  return fingers.some((finger, i) => finger !== undefined && fingers.indexOf(finger) < i);
}

/** `E4 and G4 both have finger 2` */
function sharedWords({ finger, on }: { finger: number; on: readonly PlacedNote[] }): string {
  const names = namesOf(on.map(({ entry }) => entry));
  return `${names} ${on.length > 2 ? "all" : "both"} have finger ${finger}`;
}

/** Only notes that have a finger get another one. */
function printed(notes: readonly PlacedNote[]): PlacedNote[] {
  return notes.filter(({ finger }) => finger !== undefined);
}
