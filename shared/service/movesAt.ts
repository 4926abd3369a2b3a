import type { HandName } from "../fingering/model.ts";
import { changesTooClose, footOf } from "../mechanism/pedalFeet.ts";
import type { PlayedNote } from "../mechanism/playedNotes.ts";
import { leverPosition, pedalPosition } from "../mechanism/positions.ts";
import { letterOf, pitchName, stringName } from "../score/pitch.ts";
import type { Analysis } from "./analyse.ts";
import { pitchNames, placeName } from "./places.ts";

/** What levers or pedals do for an event or just before it, in sentences; what comes back in a repeat is said once. */
export function movesAt(analysis: Analysis, hand: HandName, event: number): string[] {
  return [...new Set([...leverMoves(analysis, hand, event), ...pedalMoves(analysis, hand, event)])];
}

function leverMoves({ instrument, levers, hands }: Analysis, hand: HandName, event: number): string[] {
  const left = hands.find((one) => one.hand === "left");
  return (levers?.changes ?? []).flatMap(({ need, atMicros, before, rightIsFree }) => {
    const lever = `the ${stringName(need.string)} lever`;
    const way = leverPosition(instrument!, need.string, need.to);
    const said: string[] = [];
    if (isFor(need.next, hand, event)) {
      const when =
        atMicros === undefined
          ? `and the left hand has no time for it${rightIsFree ? "; the right one has, if it reaches it" : ""}`
          : left && before !== undefined
            ? `before the left hand plays ${pitchNames(left, before).join("-")} in ${placeName(left, before)}`
            : "once the left hand has played its last note";
      said.push(`For it ${lever} goes ${way}, ${when}.`);
    } else if (hand === "left" && event === before) {
      said.push(`Before it the left hand moves ${lever} ${way}, for ${noteInBar(need.next)}.`);
    }
    return said;
  });
}

function pedalMoves({ pedals }: Analysis, hand: HandName, event: number): string[] {
  if (!pedals) return [];
  const own = pedals.changes.filter(({ next }) => isFor(next, hand, event));
  const late = new Set(own.length > 0 ? changesTooClose(pedals.changes) : []);
  return own.map((change) => {
    const time = late.has(change) ? ", and there is hardly time for it" : "";
    return `For it the ${letterOf(change.letter)} pedal goes to ${pedalPosition(change.to)}, ${footOf(change.letter)} foot${time}.`;
  });
}

function isFor(next: PlayedNote, hand: HandName, event: number): boolean {
  return next.hand === hand && next.event === event;
}

function noteInBar({ entry: { note } }: PlayedNote): string {
  return `${pitchName(note.pitch)} in bar ${note.measure.number}`;
}
