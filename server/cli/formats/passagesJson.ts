import type { MappedDifference, PassageMap } from "../../../shared/service/passageMap.ts";

/** What comes back as one JSON document, version 1. */
export function passagesJson(path: string, { passages, messages }: PassageMap): string {
  const document = {
    version: 1,
    path,
    passages: passages.map((passage) => ({
      name: passage.name,
      kind: passage.kind,
      events: passage.events,
      inARow: passage.inARow,
      surpriseBits: Number(passage.surpriseBits.toFixed(1)),
      notes: passage.notes,
      model: passage.model,
      places: passage.places.map((place) => ({
        part: place.part,
        hand: place.hand,
        from: place.from,
        to: place.to,
        steps: place.steps,
        printed: place.likeness,
        changes: place.changes,
        fingers: place.cells.map((cell) => cell?.fingers.map((finger) => finger ?? null) ?? null),
        differences: place.differences.map(differenceJson),
      })),
    })),
    messages,
  };
  return `${JSON.stringify(document, null, 2)}\n`;
}

/** A difference from the model: what is printed here and there, null where nothing is. */
function differenceJson({ difference, here, model }: MappedDifference): object {
  const places = { kind: difference.kind, here, model };
  switch (difference.kind) {
    case "finger":
      return {
        ...places,
        stringAt: difference.here.stringAt,
        hereFinger: difference.hereFinger ?? null,
        modelFinger: difference.thereFinger ?? null,
      };
    case "bracket":
      return {
        ...places,
        hereEvents: lengthOf(difference.here),
        modelEvents: lengthOf(difference.there),
      };
    case "joint":
      return { ...places, hereJoint: difference.hereJoint, modelJoint: difference.thereJoint };
  }
}

function lengthOf(range: { readonly first: number; readonly last: number } | undefined): number | null {
  return range ? range.last - range.first + 1 : null;
}
