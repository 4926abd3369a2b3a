import { InputError } from "../text/problem.ts";
import type { HandName, HarpChoice, HarpStaff } from "./hands.ts";
import type { Part, Score } from "./model.ts";

/**
 * Finds the harp in a score.
 *
 * @param wanted a part's id or name; without it the part is recognised by its sound, its program or its name.
 * @throws InputError when no part can be taken as a harp; its message lists the parts.
 * Source: MusicXML 4.0, sounds.xml (`pluck.harp`), and General MIDI program 47, orchestral harp.
 */
export function findHarp(score: Score, wanted?: string): HarpChoice {
  if (score.parts.length === 0) throw new InputError("The score has no part.");
  if (wanted !== undefined) return asHarp(wantedPart(score, wanted), []);
  const harps = score.parts.filter(isHarp);
  if (harps.length > 0) return fromNamedHarps(harps);
  const [only] = score.parts;
  if (score.parts.length === 1 && only) {
    return asHarp([only], [`The only part, ${label(only)}, is taken as the harp.`]);
  }
  const grand = score.parts.filter((part) => part.staves === 2);
  if (grand.length === 1) {
    return asHarp(grand, [
      `No part is called a harp; ${label(grand[0]!)}, the only part with two staves, is taken as one.`,
    ]);
  }
  throw new InputError(`No part can be taken as a harp. Name one of: ${listParts(score)}.`);
}

export function listParts(score: Score): string {
  return score.parts.map(label).join(", ");
}

function label(part: Part): string {
  return part.name ? `${part.name} (${part.id})` : part.id;
}

function wantedPart(score: Score, wanted: string): Part[] {
  const low = wanted.trim().toLowerCase();
  const byId = score.parts.filter((part) => part.id.toLowerCase() === low);
  if (byId.length > 0) return byId.slice(0, 1);
  const byName = score.parts.filter((part) => part.name.toLowerCase() === low);
  if (byName.length > 0) return pairOrFirst(byName);
  throw new InputError(`There is no part ${JSON.stringify(wanted)}. The parts are: ${listParts(score)}.`);
}

/** Harp in English, German, French, Italian and Spanish, Welsh, Irish, and the neighbours that share these words. */
const harpWords =
  /(?<!\p{L})(harps?|harpes?|harfen?|arp[ae]s?|harpa|harfa|telyn(au)?|cl[aá]irseach(a)?)(?!\p{L})/iu;
const otherHarps = /(mouth|jew'?s|blues|wind|aeolian|auto)[\s-]*harp|harpe éolienne|mundharfe/iu;

function isHarp(part: Part): boolean {
  if (part.instruments.some((instrument) => /^pluck\.harp(\.|$)/.test(instrument.sound))) return true;
  if (part.instruments.some((instrument) => instrument.midiProgram === 47)) return true;
  return [part.name, ...part.instruments.map((instrument) => instrument.name)].some(
    (name) => harpWords.test(name) && !otherHarps.test(name),
  );
}

function fromNamedHarps(harps: readonly Part[]): HarpChoice {
  const chosen = pairOrFirst(harps);
  const others = harps.filter((part) => !chosen.includes(part));
  const assumptions =
    others.length > 0 ? [`Other harp parts are left alone: ${others.map(label).join(", ")}.`] : [];
  return asHarp(chosen, assumptions);
}

/** Two neighbouring parts of one staff each are the two staves of one harp. */
function pairOrFirst(parts: readonly Part[]): Part[] {
  const [first, second] = parts;
  if (
    first &&
    second &&
    first.staves === 1 &&
    second.staves === 1 &&
    plainName(first) === plainName(second)
  ) {
    return [first, second];
  }
  return first ? [first] : [];
}

/** The name without what tells two staves of one instrument apart. */
function plainName(part: Part): string {
  return part.name
    .toLowerCase()
    .replace(/\b(r\.?h\.?|l\.?h\.?|right|left|upper|lower|staff|[12]|i{1,2})\b/g, "")
    .trim();
}

function asHarp(parts: readonly Part[], assumptions: readonly string[]): HarpChoice {
  const [first, second] = parts;
  if (!first) throw new InputError("No part was chosen as the harp.");
  if (second) {
    return {
      parts,
      staves: [
        { part: first, staff: 1, hand: "right" },
        { part: second, staff: 1, hand: "left" },
      ],
      assumptions: [
        ...assumptions,
        `${label(first)} and ${label(second)} are taken as the two staves of one harp: the first is the right hand.`,
      ],
    };
  }
  if (first.staves === 1) {
    const hand = handByClef(first);
    return {
      parts,
      staves: [{ part: first, staff: 1, hand }],
      assumptions: [
        ...assumptions,
        `${label(first)} has one staff: all of it is taken as the ${hand} hand, by its ${hand === "left" ? "bass" : "treble"} clef.`,
      ],
    };
  }
  const staves: HarpStaff[] = [];
  for (let staff = 1; staff <= first.staves; staff += 1) {
    staves.push({ part: first, staff, hand: staff === 1 ? "right" : "left" });
  }
  const more = first.staves > 2 ? [`Of ${first.staves} staves the first is taken as the right hand.`] : [];
  return { parts, staves, assumptions: [...assumptions, ...more] };
}

function handByClef(part: Part): HandName {
  const sign = part.measures.find((measure) => measure.clefs.length > 0)?.clefs[0]?.sign;
  return sign === "F" ? "left" : "right";
}
