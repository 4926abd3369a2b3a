import { defineRule } from "./define.ts";
import { capitalised, namesOf, numberWord, startTagOf } from "./support/places.ts";
import { isFingeredForTwoHands, isOtherHandFree } from "./support/twoHands.ts";

export const moreThanFourAtOnce = defineRule({
  id: "more-than-four-at-once",
  severity: "error",
  summary: "One hand has more than four notes at once.",
  why: "A hand has four fingers for the strings. More notes have to be shared with the other hand, or some left out.",
  bad: "R: C4/4+E4+G4+B4+D5 // L: C3/4",
  good: "R: E4/4+G4+B4+D5 // L: C3/4+C4",
  fixes: [],
  check(input, report) {
    // Words may have given notes of the one staff to the other hand.
    const oneStaff = input.harp.staves.length === 1 && input.harp.exceptions.size === 0;
    for (const hand of input.hands) {
      hand.line.events.forEach(({ notes }, event) => {
        if (notes.length <= 4 || isFingeredForTwoHands(hand.fingers[event]!)) return;
        // The right hand keeps the upper strings, the left the lower ones: the first note that is left over.
        const over = hand.hand === "right" ? notes[notes.length - 5]! : notes[4]!;
        const count = capitalised(numberWord(notes.length));
        const free = notes.length <= 8 && isOtherHandFree(input, hand, event);
        const advice = free ? " The other hand is free here." : "";
        report({
          span: startTagOf(over.note),
          message: oneStaff
            ? `${count} notes at once (${namesOf(notes)}) on one staff: more than the four fingers of one hand.`
            : `${count} notes at once (${namesOf(notes)}) in the ${hand.hand} hand, which has four fingers.${advice}`,
          // A staff by itself may be meant for both hands.
          severity: oneStaff && notes.length <= 8 ? "warning" : "error",
          at: { hand, event },
        });
      });
    }
  },
});
