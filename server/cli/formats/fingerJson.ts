import type { Analysis } from "../../../shared/service/analyse.ts";
import type { ScoreFingering } from "../../../shared/service/fingerScore.ts";
import { pitchNames, placeOf } from "../../../shared/service/places.ts";

/** A fingering as one JSON document, version 1. Costs are in the model's units, which have three decimals. */
export function fingerJson(path: string, analysis: Analysis, fingering: ScoreFingering): string {
  return `${JSON.stringify(fingerDocument(path, analysis, fingering), null, 2)}\n`;
}

/** The same as plain data. */
export function fingerDocument(path: string, analysis: Analysis, fingering: ScoreFingering): object {
  return {
    version: 1,
    path,
    harp: {
      parts: analysis.harp?.parts.map(({ id, name }) => ({ id, name })) ?? [],
      staves: analysis.harp?.staves.map(({ part, staff, hand }) => ({ part: part.id, staff, hand })) ?? [],
      assumptions: analysis.assumptions,
    },
    hands: fingering.hands.map(({ written, solution }) => ({
      part: written.line.events[0]?.part.id ?? null,
      hand: written.hand,
      events: written.line.events.map((_, event) => ({
        ...placeOf(written, event),
        notes: pitchNames(written, event).map((pitch, stringAt) => ({
          pitch,
          finger: solution.fingers[event]?.[stringAt] ?? null,
        })),
      })),
      placings: solution.placings.map(({ first, last, direction, joint }) => ({
        first,
        last,
        direction,
        joint,
      })),
    })),
    cost: {
      total: fingering.totalMilli / 1000,
      terms: Object.fromEntries([...fingering.terms].map(([name, milli]) => [name, milli / 1000])),
      gap: fingering.gapMilli / 1000,
    },
  };
}
