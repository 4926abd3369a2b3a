import { XmlDocument, type XmlElement } from "libxml2-wasm";

/** What an XML reader that shares nothing with this project's finds printed in a harp part. */
export interface Printed {
  /** digits[i]: the fingerings of the part's note i (rests left out), in document order. */
  readonly digits: readonly (readonly string[])[];
  /** Brackets as indices of their first and last note, sorted; chords by their first note. */
  readonly brackets: readonly string[];
}

/**
 * Reads notes, fingerings and brackets of a partwise score whose brackets stop after their last note.
 * @param part its place among the parts, from 1.
 * Source for what belongs to a note and to a direction: MusicXML 4.0, musicxml.xsd.
 */
export function printedIn(text: string, part = 1): Printed {
  const document = XmlDocument.fromString(text);
  try {
    const measures = document.find(`/score-partwise/part[${part}]/measure`) as XmlElement[];
    const digits = measures.flatMap((measure) =>
      measure
        .find("note[pitch]")
        .map((note) =>
          (note as XmlElement).find("notations/technical/fingering").map((each) => each.content.trim()),
        ),
    );
    // Each staff by itself: between a bracket's ends a backup may lead to the other one.
    const brackets = ["1", "2"].flatMap((staff) => bracketsOf(measures, staff));
    return { digits, brackets: brackets.sort() };
  } finally {
    document.dispose();
  }
}

function bracketsOf(measures: readonly XmlElement[], wanted: string): string[] {
  const open = new Map<string, number[]>();
  const waiting: string[] = [];
  const brackets: string[] = [];
  let index = -1;
  let last = -1;
  for (const measure of measures) {
    for (const element of measure.find("note[pitch] | direction[direction-type/bracket]") as XmlElement[]) {
      const isNote = element.name === "note";
      if (isNote) index += 1;
      if ((element.get("staff")?.content ?? "1") !== wanted || (isNote && element.get("chord"))) continue;
      if (isNote) {
        last = index;
        for (const number of waiting.splice(0)) open.set(number, [...(open.get(number) ?? []), index]);
        continue;
      }
      const bracket = element.get("direction-type/bracket") as XmlElement;
      const number = bracket.attr("number")?.value ?? "1";
      if (bracket.attr("type")?.value === "start") waiting.push(number);
      else {
        // The latest start, which leaves out one that was never closed; but a number may be used again at the very
        // note where it is let go.
        const started = open.get(number) ?? [];
        const at = started.findLastIndex((note) => note < last);
        if (at >= 0) brackets.push(`${started.splice(at, 1)[0]} ${last}`);
      }
    }
  }
  return brackets;
}
