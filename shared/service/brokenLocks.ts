import type { Solution } from "../fingering/model.ts";
import type { FingeredHand } from "../fingering/write.ts";
import { isOnePlacing, type Keep, type WrittenHand } from "../fingering/written.ts";
import { barList, pitchNames, placeName } from "./places.ts";

/**
 * Names the printed fingers and brackets that a fingering was to keep and could not, in sentences: in the range that
 * was fingered and in the placings that reach into it. They stay in print all the same.
 *
 * @param kept what was to be kept.
 */
export function brokenLocks({ written, solution, range }: FingeredHand, kept: Keep): string[] {
  const near = withTouchingPlacings(solution, range ?? { first: 0, last: written.line.events.length - 1 });
  const sentences: string[] = [];
  for (let event = near.first; event <= near.last; event += 1) {
    if (!kept.fingers(event)) continue;
    written.fingers[event]!.forEach((printed, stringAt) => {
      const used = solution.fingers[event]?.[stringAt];
      if (printed === undefined || printed === used) return;
      const pitch = pitchNames(written, event)[stringAt];
      const instead = used === undefined ? "the hand has no finger left for it" : `${used} was reckoned with`;
      sentences.push(
        `${placeName(written, event)}, ${written.hand} hand, ${pitch}: the printed finger ${printed} cannot be played with what is printed around it; it stays, but ${instead}.`,
      );
    });
  }
  const used = new Set(solution.placings.map((placing) => `${placing.first} ${placing.last}`));
  for (const placing of written.placings) {
    if (placing.last < near.first || placing.first > near.last || placing.first === placing.last) continue;
    if (!kept.placings(placing) || used.has(`${placing.first} ${placing.last}`)) continue;
    sentences.push(bracketSentence(written, placing));
  }
  return sentences;
}

function withTouchingPlacings(
  solution: Solution,
  range: { readonly first: number; readonly last: number },
): { first: number; last: number } {
  const touching = solution.placings.filter(
    (placing) => placing.first <= range.last + 1 && placing.last >= range.first - 1,
  );
  return {
    first: Math.min(range.first, ...touching.map(({ first }) => first)),
    last: Math.max(range.last, ...touching.map(({ last }) => last)),
  };
}

function bracketSentence(written: WrittenHand, placing: { first: number; last: number }): string {
  const why = isOnePlacing(written.line, placing)
    ? "cannot be kept with what is printed around it"
    : "is not one placing: its notes turn round, repeat a string or are more than four";
  const from = pitchNames(written, placing.first).join(" ");
  const to = pitchNames(written, placing.last).join(" ");
  const where = barList(written, [placing.first, placing.last]);
  return `${where}, ${written.hand} hand: the printed bracket from ${from} to ${to} ${why}; it stays, but was left out of account.`;
}
