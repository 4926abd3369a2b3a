import type { Finger } from "../../../fingering/model.ts";
import type { WrittenHand } from "../../../fingering/written.ts";
import { bracketedPlace } from "../../../passages/compareOccurrences.ts";
import type { Occurrence, PassageClass } from "../../../passages/model.ts";
import { orFound } from "../../../text/orFound.ts";
import type { RuleInput } from "../../define.ts";

/** One place of a passage and what is printed there. */
export interface PrintedPlace {
  /** Its number among the passage's occurrences. */
  readonly index: number;
  readonly occurrence: Occurrence;
  readonly hand: WrittenHand;
  /** The printed finger of each note, by a name that only notes that stand for each other share. */
  readonly fingers: ReadonlyMap<number, Finger>;
  /** How many notes stand for a note of the first place. */
  readonly notes: number;
  /** Events under brackets that reach out of the passage: the music around decides about them. */
  readonly edges: ReadonlySet<number>;
  readonly brackets: number;
}

const known = new WeakMap<RuleInput["hands"], Map<PassageClass, readonly PrintedPlace[]>>();

/**
 * The places of a passage as printed, in order of time. Fingers under brackets that reach out are left out. Worked out
 * once for a score and a passage.
 */
export function printedPlaces(
  { hands }: Pick<RuleInput, "hands">,
  passage: PassageClass,
): readonly PrintedPlace[] {
  const byPassage = orFound(known, hands, () => new Map<PassageClass, readonly PrintedPlace[]>());
  return orFound(byPassage, passage, () =>
    passage.occurrences.map((_, index) => placeAsPrinted(hands, passage, index)),
  );
}

function placeAsPrinted(hands: RuleInput["hands"], passage: PassageClass, index: number): PrintedPlace {
  const occurrence = passage.occurrences[index]!;
  const { hand, inside, edges } = bracketedPlace(hands, passage, index);
  const atEdge = new Set<number>();
  for (const { first, last } of edges) for (let event = first; event <= last; event += 1) atEdge.add(event);
  const fingers = new Map<number, Finger>();
  let notes = 0;
  passage.alignment[index]!.forEach((event, m) => {
    if (event === undefined || atEdge.has(event)) return;
    hand.line.events[event]!.notes.forEach(({ string }, stringAt) => {
      notes += 1;
      const finger = hand.fingers[event]![stringAt];
      if (finger !== undefined) fingers.set(m * moreThanStrings + string - occurrence.steps, finger);
    });
  });
  return { index, occurrence, hand, fingers, notes, edges: atEdge, brackets: inside.length };
}

/** A number that no distance of two strings comes near to. */
const moreThanStrings = 1000;

/** Places whose printed fingers do not contradict each other. */
export interface Version {
  /** In order of time. */
  readonly places: readonly PrintedPlace[];
}

/**
 * Sorts places into versions. The one with the most places comes first, of equal ones the earliest; a place that is
 * fingered in part belongs to the first version that it does not contradict.
 */
export function versionsOf(places: readonly PrintedPlace[]): Version[] {
  const versions: { places: PrintedPlace[]; fingers: Map<number, Finger> }[] = [];
  const fullestFirst = [...places].sort((a, b) => b.fingers.size - a.fingers.size || a.index - b.index);
  for (const place of fullestFirst) {
    const version = versions.find(({ fingers }) => !contradict(fingers, place.fingers));
    if (version) {
      version.places.push(place);
      for (const [note, finger] of place.fingers) version.fingers.set(note, finger);
    } else {
      versions.push({ places: [place], fingers: new Map(place.fingers) });
    }
  }
  for (const version of versions) version.places.sort((a, b) => a.index - b.index);
  return versions.sort(
    (a, b) => b.places.length - a.places.length || a.places[0]!.index - b.places[0]!.index,
  );
}

function contradict(a: ReadonlyMap<number, Finger>, b: ReadonlyMap<number, Finger>): boolean {
  for (const [note, finger] of b) {
    const other = a.get(note);
    if (other !== undefined && other !== finger) return true;
  }
  return false;
}
