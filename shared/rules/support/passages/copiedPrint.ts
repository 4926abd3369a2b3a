import type { Joint } from "../../../fingering/model.ts";
import { writeFingering } from "../../../fingering/write.ts";
import type { WrittenHand, WrittenPlacing } from "../../../fingering/written.ts";
import { removeBracketEnd } from "../../../musicxml/bracketEdits.ts";
import type { Bracketed, Difference } from "../../../passages/compareOccurrences.ts";
import type { PassageClass } from "../../../passages/model.ts";
import type { Edit } from "../../../text/edits.ts";
import type { RuleInput } from "../../define.ts";
import { asPrinted, digitEdits } from "../fixes.ts";
import type { EventRange, FingeredNote } from "../solveAround.ts";
import type { PrintedPlace } from "./printedPlaces.ts";
import { type Region, regionsBetween } from "./regions.ts";

/** A placing as it is to be printed: after an overlap its first event is the shared pivot. */
export interface CopiedPlacing extends EventRange {
  readonly joint: Joint;
}

/** What makes one place of a passage printed like another. */
export interface CopiedPrint {
  readonly digits: readonly FingeredNote[];
  readonly removed: readonly WrittenPlacing[];
  readonly added: readonly CopiedPlacing[];
}

/** The changes that print regions of one place like another: only what differs, brackets included. */
export function copiedPrint(
  input: RuleInput,
  passage: PassageClass,
  from: PrintedPlace,
  to: PrintedPlace,
  regions: readonly Region[],
): CopiedPrint {
  const differences = regionsBetween(input, passage, from, to)
    .filter((own) => regions.some((region) => own.from <= region.to && own.to >= region.from))
    .flatMap((region) => region.differences);
  return copyOf(passage, from, to, differences);
}

/** The changes that these differences, seen from the place that is copied, come to. */
export function copyOf(
  passage: PassageClass,
  from: PrintedPlace,
  to: PrintedPlace,
  differences: readonly Difference[],
): CopiedPrint {
  const toThere = new Map<number, number>();
  passage.alignment[from.index]!.forEach((event, m) => {
    const other = passage.alignment[to.index]![m];
    if (event !== undefined && other !== undefined) toThere.set(event, other);
  });
  const digits: FingeredNote[] = [];
  const removed: WrittenPlacing[] = [];
  const added: CopiedPlacing[] = [];
  for (const difference of differences) {
    if (difference.kind === "finger") {
      if (difference.hereFinger !== undefined) {
        digits.push({ ...difference.there, finger: difference.hereFinger });
      }
      continue;
    }
    if (difference.there) removed.push(difference.there.placing);
    if (difference.here) added.push(...mapped(difference.here, toThere));
  }
  return { digits, removed, added };
}

function mapped({ first, last, placing }: Bracketed, toThere: ReadonlyMap<number, number>): CopiedPlacing[] {
  const overlaps = placing.first < first;
  const [a, b] = [toThere.get(overlaps ? placing.first : first), toThere.get(last)];
  if (a === undefined || b === undefined) return [];
  return [{ first: a, last: b, joint: overlaps ? "overlap" : placing.fromPivot ? "cross" : "separate" }];
}

/** The edits that print a copy into its place. */
export function copyEdits(input: RuleInput, hand: WrittenHand, copy: CopiedPrint): Edit[] {
  return [...digitEdits(input, hand, copy.digits), ...replacedBrackets(input, hand, copy)];
}

function replacedBrackets(input: RuleInput, hand: WrittenHand, { removed, added }: CopiedPrint): Edit[] {
  const ends = removed.flatMap(({ bracket }) => [bracket.start, bracket.stop]);
  const removals = ends.map((end) => removeBracketEnd(input.text, end.removal));
  if (added.length === 0) return removals;
  const remaining = hand.placings.filter((placing) => !removed.includes(placing));
  const placings = [
    ...remaining.map(asPrinted),
    ...added.map((placing) => ({ ...asPrinted(placing), joint: placing.joint })),
  ];
  const fingers = hand.line.events.map(({ notes }) => notes.map(() => undefined));
  const range = {
    first: Math.max(0, Math.min(...added.map(({ first }) => first)) - 1),
    last: Math.max(...added.map(({ last }) => last)),
  };
  const gone = new Set(removed.map(({ bracket }) => bracket));
  const brackets = hand.brackets.brackets.filter((bracket) => !gone.has(bracket));
  const written = { ...hand, placings: remaining, brackets: { ...hand.brackets, brackets } };
  const solution = { placings, fingers, totalMilli: 0 };
  return [...removals, ...writeFingering(input, [{ written, solution, range }], { replace: true })];
}
