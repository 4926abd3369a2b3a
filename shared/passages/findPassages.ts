import type { HandLine } from "../score/handLines.ts";
import type { Score } from "../score/model.ts";
import type { Column } from "./align.ts";
import type { Return } from "./candidates.ts";
import { Links } from "./links.ts";
import type { Change, Occurrence, PassageClass, PassageKind, Passages } from "./model.ts";
import { findNearReturns, type NearReturn } from "./near.ts";
import { findReturns } from "./returns.ts";
import { surpriseOf } from "./surprise.ts";
import { inTimeOrder, type PassageTexts, passageTexts } from "./tokens.ts";

/**
 * Finds what comes back in a score: stretches of a hand that stand at several places on the same strings, on other
 * strings, with small differences, or in the other hand.
 *
 * A passage has at least four events or fills a bar, and tells more than chance would repeat. Each class is as long
 * as all its occurrences allow. A class that says only what longer ones say is left out. A passage never crosses a
 * place where playing does not go on in print, such as the end of a first ending; what a repeat sign plays again is
 * printed once and is no return of itself.
 *
 * @param lines the hands' lines of this score.
 * Time O(n log n) in the number of events; memory O(n).
 */
export function findPassages(lines: readonly HandLine[], score: Score): Passages {
  const texts = passageTexts(lines, score);
  const surprise = surpriseOf(texts);
  const links = new Links(texts.size);
  const exact = findReturns(texts, surprise, "exact", links);
  const shape = findReturns(texts, surprise, "shape", links);
  const plain = [...exact.returns, ...shape.returns].map((found) => plainClass(texts, found));
  const nearly = findNearReturns(texts, surprise, links);
  const near = nearly.returns.map((found) => nearClass(texts, found));
  const classes = [...plain.filter((found) => !near.some((longer) => liesIn(found, longer))), ...near];
  classes.sort((a, b) => byPlace(texts, a, b));
  return { classes, messages: messagesOf(classes, exact.cut || shape.cut || nearly.cut) };
}

function plainClass(texts: PassageTexts, { starts, length, surpriseBits }: Return): PassageClass {
  const inTime = [...starts].sort((a, b) => inTimeOrder(texts, a, b));
  const model = inTime[0]!;
  const occurrences = inTime.map((start): Occurrence => {
    const line = texts.lineOf[start]!;
    const first = start - texts.starts[line]!;
    return {
      hand: texts.lines[line]!.hand,
      first,
      last: first + length - 1,
      steps: texts.lowest[start]! - texts.lowest[model]!,
      changes: [],
    };
  });
  return {
    kind: kindOf(occurrences),
    occurrences,
    alignment: occurrences.map(({ first }) => Array.from({ length }, (_, k) => first + k)),
    inARow: mostInARow(occurrences),
    surpriseBits,
  };
}

function kindOf(occurrences: readonly Occurrence[]): PassageKind {
  if (occurrences.some(({ hand }) => hand !== occurrences[0]!.hand)) return "otherHand";
  return occurrences.some(({ steps }) => steps !== 0) ? "shifted" : "exact";
}

function nearClass(texts: PassageTexts, { places, surpriseBits }: NearReturn): PassageClass {
  const line = texts.lineOf[places[0]!.first]!;
  const start = texts.starts[line]!;
  const model = places[0]!;
  const occurrences = places.map(
    ({ first, last, steps, columns }): Occurrence => ({
      hand: texts.lines[line]!.hand,
      first: first - start,
      last: last - start,
      steps,
      changes: columns.flatMap((column) => changesOf(column, start)),
    }),
  );
  const alignment = places.map(({ columns }) => {
    const row: (number | undefined)[] = new Array(model.last - model.first + 1).fill(undefined);
    for (const { a, b } of columns) if (a !== undefined && b !== undefined) row[a - model.first] = b - start;
    return row;
  });
  return { kind: "near", occurrences, alignment, inARow: mostInARow(occurrences), surpriseBits };
}

function changesOf({ a, b, same, rhythm }: Column, start: number): Change[] {
  if (a === undefined) return [{ kind: "added", event: b! - start }];
  if (b === undefined) return [{ kind: "leftOut", model: a - start }];
  if (same && !rhythm) return [];
  return [{ kind: same ? "rhythm" : "strings", model: a - start, event: b - start }];
}

/** True when the longer class has the same occurrences, with these in the same place of each. */
function liesIn(found: PassageClass, longer: PassageClass): boolean {
  if (found.occurrences.length !== longer.occurrences.length) return false;
  const inModel = found.occurrences[0]!.first - longer.occurrences[0]!.first;
  return found.occurrences.every(({ hand, first, last }, k) => {
    const place = longer.occurrences[k]!;
    const inside = hand === place.hand && first >= place.first && last <= place.last;
    return inside && longer.alignment[k]![inModel] === first;
  });
}

function mostInARow(occurrences: readonly Occurrence[]): number {
  let most = 1;
  let row = 1;
  const inOrder = [...occurrences].sort((a, b) =>
    a.hand === b.hand ? a.first - b.first : a.hand < b.hand ? 1 : -1,
  );
  inOrder.forEach(({ hand, first }, i) => {
    const before = inOrder[i - 1];
    row = before && before.hand === hand && first === before.last + 1 ? row + 1 : 1;
    most = Math.max(most, row);
  });
  return most;
}

function byPlace(texts: PassageTexts, a: PassageClass, b: PassageClass): number {
  const at = ({ occurrences: [first] }: PassageClass): number => {
    const line = texts.lines.findIndex(({ hand }) => hand === first!.hand);
    return texts.starts[line]! + first!.first;
  };
  const length = ({ occurrences: [first] }: PassageClass): number => first!.last - first!.first;
  return inTimeOrder(texts, at(a), at(b)) || length(b) - length(a);
}

/** From so many times in a row a figure is an ostinato. */
const ostinatoTimes = 8;

function messagesOf(classes: readonly PassageClass[], cut: boolean): string[] {
  const messages = classes
    .filter(({ inARow }) => inARow >= ostinatoTimes)
    .map(({ occurrences: [first], inARow }) => {
      const events = first!.last - first!.first + 1;
      return `A figure of ${events} events in the ${first!.hand} hand stands ${inARow} times in a row. It is listed once; longer stretches made of it are not listed as passages of their own.`;
    });
  if (cut) {
    messages.push(
      "So much comes back here that not everything was compared. What says most, and what lies near, is listed.",
    );
  }
  return messages;
}
