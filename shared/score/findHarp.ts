import { InputError } from "../text/problem.ts";
import { assignHands } from "./assignHands.ts";
import type { HandName, HandOptions, HarpChoice, HarpStaff } from "./hands.ts";
import { hasHarp } from "./isHarp.ts";
import type { Part, Score } from "./model.ts";
import { otherInstrumentNotes } from "./otherInstrument.ts";

/**
 * Finds the harp in a score, and the hand that plays each of its notes.
 *
 * @param wanted a part's id or name; without it the part is recognised by its sound, its program or its name.
 * @throws InputError when no part can be taken as a harp; its message lists the parts.
 * Source: MusicXML 4.0, sounds.xml (`pluck.harp`), and General MIDI program 47, orchestral harp.
 */
export function findHarp(score: Score, wanted?: string, options: HandOptions = {}): HarpChoice {
  const { parts, assumptions } = chooseParts(score, wanted);
  const { staves, assumptions: aboutStaves } = chooseStaves(parts, options.staves);
  const other = otherInstrumentNotes(score, parts);
  const hands = assignHands(score, { parts, staves }, options);
  return {
    parts,
    staves,
    exceptions: hands.exceptions,
    otherInstrument: other.notes,
    assumptions: [...assumptions, ...aboutStaves, ...other.assumptions, ...hands.assumptions],
  };
}

export function listParts(score: Score): string {
  return score.parts.map(label).join(", ");
}

interface Chosen {
  readonly parts: readonly Part[];
  readonly assumptions: readonly string[];
}

function chooseParts(score: Score, wanted: string | undefined): Chosen {
  if (score.parts.length === 0) throw new InputError("The score has no part.");
  if (wanted !== undefined) return { parts: wantedPart(score, wanted), assumptions: [] };
  const harps = score.parts.filter(hasHarp);
  if (harps.length > 0) return fromNamedHarps(harps);
  const [only] = score.parts;
  if (score.parts.length === 1 && only) {
    return { parts: [only], assumptions: [`The only part, ${label(only)}, is taken as the harp.`] };
  }
  const grand = score.parts.filter((part) => part.staves === 2);
  if (grand.length === 1) {
    const assumption = `No part is called a harp; ${label(grand[0]!)}, the only part with two staves, is taken as one.`;
    return { parts: grand, assumptions: [assumption] };
  }
  throw new InputError(`No part can be taken as a harp. Name one of: ${listParts(score)}.`);
}

function label(part: Part): string {
  return part.name ? `${part.name} (${part.id})` : part.id;
}

function wantedPart(score: Score, wanted: string): readonly Part[] {
  const low = wanted.trim().toLowerCase();
  const byId = score.parts.filter((part) => part.id.toLowerCase() === low);
  if (byId.length > 0) return byId.slice(0, 1);
  const byName = score.parts.filter((part) => part.name.toLowerCase() === low);
  const [first] = byName;
  if (!first) {
    throw new InputError(`There is no part ${JSON.stringify(wanted)}. The parts are: ${listParts(score)}.`);
  }
  return pairOf(byName) ?? [first];
}

function fromNamedHarps(harps: readonly Part[]): Chosen {
  const parts = pairOf(harps) ?? harps.slice(0, 1);
  const others = harps.filter((part) => !parts.includes(part));
  const assumptions =
    others.length > 0 ? [`Other harp parts are left alone: ${others.map(label).join(", ")}.`] : [];
  return { parts, assumptions };
}

/** The first two parts, when they are of one staff each and called alike but for the hand: two staves of one harp. */
function pairOf(parts: readonly Part[]): readonly Part[] | undefined {
  const [first, second] = parts;
  if (!first || !second || first.staves !== 1 || second.staves !== 1) return undefined;
  return plainName(first) === plainName(second) ? [first, second] : undefined;
}

/** The name without what tells two staves of one instrument apart. */
function plainName(part: Part): string {
  return part.name
    .toLowerCase()
    .replace(
      /(?<!\p{L})(r\.? ?h\.?|l\.? ?h\.?|m\.? ?[dgsi]\.?|right|left|upper|lower|treble|bass|hand|staff)(?!\p{L})/gu,
      "",
    )
    .replace(/[^\p{L}\d]+/gu, " ")
    .replace(/ (1|2|i{1,2})$/, "")
    .trim();
}

function chooseStaves(
  parts: readonly Part[],
  decided: readonly HandName[] | undefined,
): { staves: readonly HarpStaff[]; assumptions: readonly string[] } {
  const staves = parts.flatMap((part) =>
    Array.from({ length: part.staves }, (_, i) => ({ part, staff: i + 1 })),
  );
  const withHands = (handOf: (i: number) => HandName): HarpStaff[] =>
    staves.map((staff, i) => ({ ...staff, hand: decided?.[i] ?? handOf(i) }));
  const [first, second] = parts;
  if (first && second) {
    return {
      staves: withHands((i) => (i === 0 ? "right" : "left")),
      assumptions: [
        `${label(first)} and ${label(second)} are taken as the two staves of one harp: the first is the right hand.`,
      ],
    };
  }
  const [only] = staves;
  if (only && staves.length === 1) {
    const hand = handByClef(only.part, 1);
    const assumption = `${label(only.part)} has one staff: all of it is taken as the ${hand} hand, by its ${hand === "left" ? "bass" : "treble"} clef.`;
    return { staves: withHands(() => hand), assumptions: decided?.[0] ? [] : [assumption] };
  }
  const last = staves.length - 1;
  const chosen = withHands((i) =>
    i === 0 ? "right" : i === last ? "left" : handByClef(staves[i]!.part, staves[i]!.staff),
  );
  if (staves.length <= 2 || decided) return { staves: chosen, assumptions: [] };
  const said = chosen.map(({ staff, hand }) => `${staff} ${hand}`).join(", ");
  return { staves: chosen, assumptions: [`Of ${staves.length} staves the hands are taken as: ${said}.`] };
}

function handByClef(part: Part, staff: number): HandName {
  for (const measure of part.measures) {
    const clef = measure.clefs.find((candidate) => candidate.staff === staff);
    if (clef) return clef.sign === "F" ? "left" : "right";
  }
  return "right";
}
