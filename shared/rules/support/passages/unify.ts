import { fingerHands, type HandsFingered } from "../../../fingering/fingerHands.ts";
import type { Tie } from "../../../fingering/tied.ts";
import type { Keep, WrittenHand } from "../../../fingering/written.ts";
import type { PassageClass } from "../../../passages/model.ts";
import { tiesOf } from "../../../passages/ties.ts";
import type { Edit } from "../../../text/edits.ts";
import { orFound } from "../../../text/orFound.ts";
import type { Fix, FixKind, RuleInput } from "../../define.ts";
import { bracketEdits, digitEdits, fingersIn } from "../fixes.ts";
import type { EventRange, NotePosition } from "../solveAround.ts";
import { copiedPrint, copyEdits } from "./copiedPrint.ts";
import type { Disagreement } from "./disagreements.ts";
import type { PrintedPlace } from "./printedPlaces.ts";
import { eventsOf, regionsBetween } from "./regions.ts";

/** How the places of a passage can be made alike. */
export interface UnifyKinds {
  /** The later places like the earlier one. */
  readonly there: FixKind;
  /** The earlier places like the later one. */
  readonly here: FixKind;
  /** Every place, whatever is printed there, like the earlier one. */
  readonly all: FixKind;
  /** Every place anew; not offered without it. */
  readonly best?: FixKind;
}

/** The repairs that make the places of a disagreement alike. Each touches only notes that differ. */
export function unifyFixes(input: RuleInput, disagreement: Disagreement, kinds: UnifyKinds): Fix[] {
  const { passage, about, here, there, likeHere, likeThere, all, versions } = disagreement;
  const copy = (kind: FixKind, from: PrintedPlace, to: readonly PrintedPlace[]): Fix => ({
    ...kind,
    edits: () =>
      to.flatMap((place) => {
        const regions = regionsBetween(input, passage, from, place).filter(
          ({ fingers }) => fingers === (about === "fingers"),
        );
        return copyEdits(input, place.hand, copiedPrint(input, passage, from, place, regions));
      }),
  });
  const fixes = [copy(kinds.there, here, likeThere), copy(kinds.here, there, likeHere)];
  if (versions > 2) {
    fixes.push(
      copy(
        kinds.all,
        here,
        all.filter((place) => place !== here),
      ),
    );
  }
  const ties = kinds.best ? tiesFor(input, disagreement) : undefined;
  if (kinds.best && ties) {
    let known: HandsFingered | undefined;
    const found = (): HandsFingered => {
      known ??= bestForAll(input, disagreement, ties);
      return known;
    };
    fixes.push({
      ...kinds.best,
      edits: () => printed(input, disagreement, found()),
      remark: () => costOfLikeness(found()),
    });
  }
  return fixes;
}

/** The ties that hold all that differs; undefined when some of it stands between changes of the music. */
function tiesFor(input: RuleInput, { passage, regions, all }: Disagreement): readonly Tie[] | undefined {
  const ties = tiesAmong(
    input,
    passage,
    all.map(({ index }) => index),
  );
  const [first] = all;
  const isTied = (event: number): boolean =>
    ties.some(({ occurrences: [range] }) => range!.first <= event && event <= range!.last);
  return regions.every((region) => eventsOf(passage, first!.index, region).every(isTied)) ? ties : undefined;
}

/** They depend on the music alone, which is the same for many readings. */
const known = new WeakMap<PassageClass, Map<string, readonly Tie[]>>();

/** The ties of some of a passage's places, by their numbers. */
function tiesAmong({ hands }: RuleInput, passage: PassageClass, indices: readonly number[]): readonly Tie[] {
  const byPlaces = orFound(known, passage, () => new Map<string, readonly Tie[]>());
  return orFound(byPlaces, indices.join(), () => {
    const lines = hands.map(({ line }) => line);
    const ties = tiesOf([{ ...passage, ...only(passage, new Set(indices)) }], lines);
    return ties.map(({ occurrences }): Tie => ({ occurrences }));
  });
}

/** The fingering that costs least in all places together, with what is printed around them as it is. */
function bestForAll(input: RuleInput, { all: places }: Disagreement, ties: readonly Tie[]): HandsFingered {
  const free = (hand: WrittenHand): PrintedPlace[] => places.filter((place) => place.hand === hand);
  const keep = (hand: WrittenHand): Keep => ({
    fingers: (event) => !free(hand).some((place) => isFree(place, event)),
    placings: (placing) => !free(hand).some((place) => holds(place, placing)),
  });
  return fingerHands(input.hands, input.weights, keep, ties, input.solutions);
}

function costOfLikeness({ gapMilli }: HandsFingered): string {
  return gapMilli === 0
    ? "Fingered alike, these places cost no more than each by itself."
    : `Fingered alike, these places cost at most ${Number((gapMilli / 1000).toFixed(2))} more than each by itself.`;
}

/** The edits that print a fingering. Only printed digits and brackets change. */
function printed(input: RuleInput, { all: places }: Disagreement, { solutions }: HandsFingered): Edit[] {
  return places.flatMap((place) => {
    const solution = solutions[input.hands.indexOf(place.hand)]!;
    const range: EventRange = place.occurrence;
    if (place.brackets > 0) return bracketEdits(input, place.hand, solution, range);
    return digitEdits(input, place.hand, fingersIn(solution, printedNotes(place)));
  });
}

function only(
  { occurrences, alignment }: PassageClass,
  among: ReadonlySet<number>,
): Pick<PassageClass, "occurrences" | "alignment"> {
  return {
    occurrences: occurrences.filter((_, k) => among.has(k)),
    alignment: alignment.filter((_, k) => among.has(k)),
  };
}

function isFree({ occurrence, edges }: PrintedPlace, event: number): boolean {
  return event >= occurrence.first && event <= occurrence.last && !edges.has(event);
}

function holds({ occurrence }: PrintedPlace, { first, last }: EventRange): boolean {
  return first >= occurrence.first && last <= occurrence.last;
}

function printedNotes(place: PrintedPlace): NotePosition[] {
  const notes: NotePosition[] = [];
  for (let event = place.occurrence.first; event <= place.occurrence.last; event += 1) {
    if (!isFree(place, event)) continue;
    place.hand.fingers[event]!.forEach((finger, stringAt) => {
      if (finger !== undefined) notes.push({ event, stringAt });
    });
  }
  return notes;
}
