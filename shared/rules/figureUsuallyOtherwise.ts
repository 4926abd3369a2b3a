import type { Finger } from "../fingering/model.ts";
import type { WrittenHand } from "../fingering/written.ts";
import { defineRule, type RuleInput } from "./define.ts";
import { refingerFixes } from "./support/fixes.ts";
import { eventName, placeOfNote } from "./support/places.ts";
import {
  hasSpecialSound,
  inOrder,
  type PrintedPlacing,
  printedPlacings,
  staysInOrder,
} from "./support/printedPlacings.ts";
import { allBut, allPrinted, solveAround, tellingMilli } from "./support/solveAround.ts";

const asElsewhere = { title: "Finger it as elsewhere in the piece", safety: "ask" } as const;

/** A shape is usual with some fingers when so many places have them, and no more than this share has others. */
const usual = { leastPlaces: 4, mostOthers: 0.25 };

export const figureUsuallyOtherwise = defineRule({
  id: "figure-usually-otherwise",
  severity: "info",
  summary:
    "A chord or a group has other fingers than the same shape elsewhere in the piece, and those would do as well here.",
  why: "A shape that always has the same fingers is learned once. Where two ways are equally good, the one that the rest of the piece has is the better.",
  bad: "E4:4+A4:2+C5:1 r C4:3+F4:2+A4:1 r C4:3+F4:2+A4:1 r D4:3+G4:2+B4:1 r | D4:3+G4:2+B4:1",
  good: "E4:3+A4:2+C5:1 r C4:3+F4:2+A4:1 r C4:3+F4:2+A4:1 r D4:3+G4:2+B4:1 r | D4:3+G4:2+B4:1",
  fixes: [asElsewhere],
  general: true,
  check(input, report) {
    for (const { places } of shapesOf(input)) {
      const most = mostUsed(places);
      if (!most) continue;
      for (const { hand, placing, digits, fingers } of places) {
        if (digits === most.digits) continue;
        const fixed = placing.notes.map(({ event, stringAt }, i) => ({
          event,
          stringAt,
          finger: most.fingers[i]!,
        }));
        if (!staysInOrder(input, hand, placing.notes, most.fingers)) continue;
        const printed = solveAround(input, hand, placing, allPrinted).totalMilli;
        const asMost = solveAround(input, hand, placing, { ...allBut(fixed), fixed }).totalMilli;
        if (asMost > printed + tellingMilli) continue;
        report({
          span: placeOfNote(placing.notes[0]!.entry),
          message: `${nameOf(hand, placing)} has ${fingers.join("-")}, the same shape elsewhere ${most.fingers.join("-")} (${most.places.length} places); that would do as well here.`,
          at: { hand, event: placing.first },
          over: placing,
          related: most.places.slice(0, 3).map((other) => ({
            span: placeOfNote(other.placing.notes[0]!.entry),
            message: `${nameOf(other.hand, other.placing)} has ${most.fingers.join("-")}.`,
          })),
          fixes: refingerFixes(input, hand, asElsewhere, placing.notes, fixed),
        });
      }
    }
  },
});

interface ShapePlace {
  readonly hand: WrittenHand;
  readonly placing: PrintedPlacing;
  /** Lowest string first. */
  readonly fingers: readonly Finger[];
  /** The same as a text. */
  readonly digits: string;
}

/** Chords and brackets that every note of has a finger, by hand, intervals and the order in which they are plucked. */
function shapesOf(input: RuleInput): { places: ShapePlace[] }[] {
  return input.hands.flatMap((hand) => {
    const shapes = new Map<number, { places: ShapePlace[] }>();
    for (const placing of printedPlacings(input, hand)) {
      const { notes } = placing;
      if (notes.length < 2 || !inOrder(notes) || hasSpecialSound(notes)) continue;
      const lowest = notes[0]!.entry.string;
      const fingers: Finger[] = [];
      let digits = "";
      let key = placing.rolled ? 2 : 1;
      for (const { event, entry, finger } of notes) {
        if (finger === undefined) break;
        fingers.push(finger);
        digits += finger;
        // At most five notes, in as many events, on the strings of ten octaves.
        key = (key * 8 + event - placing.first) * 128 + entry.string - lowest;
      }
      if (fingers.length < notes.length) continue;
      const place = { hand, placing, fingers, digits };
      const shape = shapes.get(key);
      if (shape) shape.places.push(place);
      else shapes.set(key, { places: [place] });
    }
    return [...shapes.values()].filter(({ places }) => places.length > usual.leastPlaces);
  });
}

/** The fingers that nearly all places of a shape have; undefined when there are none, or no others. */
function mostUsed(
  places: readonly ShapePlace[],
): { fingers: readonly Finger[]; digits: string; places: ShapePlace[] } | undefined {
  const byFingers = new Map<string, ShapePlace[]>();
  for (const place of places) {
    const same = byFingers.get(place.digits);
    if (same) same.push(place);
    else byFingers.set(place.digits, [place]);
  }
  if (byFingers.size < 2) return undefined;
  const most = [...byFingers.values()].reduce((a, b) => (b.length > a.length ? b : a));
  const others = places.length - most.length;
  if (most.length < usual.leastPlaces || others > usual.mostOthers * places.length) return undefined;
  const { fingers, digits } = most[0]!;
  return { fingers, digits, places: most };
}

function nameOf(hand: WrittenHand, { first, last }: PrintedPlacing): string {
  return first === last ? eventName(hand, first) : `${eventName(hand, first)} to ${eventName(hand, last)}`;
}
