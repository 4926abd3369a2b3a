import type { WrittenHand } from "../../fingering/written.ts";
import { hasString } from "../../harp/strings.ts";
import { type Stringing, type StringPitch, stringsSounding } from "../../harp/tunings.ts";
import type { EventNote } from "../../score/handLines.ts";
import { letterOf, octaveOf, pitchName } from "../../score/pitch.ts";
import type { RelatedPlace, Report, RuleInput } from "../define.ts";
import { startTagOf } from "./places.ts";

/** A note that asks for a pitch. */
export interface PitchUse {
  readonly hand: WrittenHand;
  readonly event: number;
  readonly entry: EventNote;
}

/** A pitch that the music asks for, and every note that does. */
export interface AskedPitch extends StringPitch {
  readonly name: string;
  /** In the order of the hands and their events; at least one. */
  readonly uses: readonly PitchUse[];
}

const known = new WeakMap<readonly WrittenHand[], readonly AskedPitch[]>();

/**
 * The different pitches that the hands pluck. A microtone asks for no string in particular and is left out; so is a
 * harmonic whose string lies an octave below the written note on this harp, since some write what sounds.
 */
export function askedPitches({ hands, instrument }: RuleInput): readonly AskedPitch[] {
  let asked = known.get(hands);
  if (!asked) {
    const byPitch = new Map<string, StringPitch & { name: string; uses: PitchUse[] }>();
    for (const hand of hands) {
      hand.line.events.forEach(({ notes }, event) => {
        for (const entry of notes) {
          const { pitch, marks } = entry.note;
          if (!Number.isInteger(pitch.alter)) continue;
          const { string } = entry;
          if (marks.harmonic && instrument && isOctaveBelow(instrument, string)) continue;
          const name = pitchName(pitch);
          const use = { hand, event, entry };
          const same = byPitch.get(name);
          if (same) same.uses.push(use);
          else byPitch.set(name, { string, alter: pitch.alter, name, uses: [use] });
        }
      });
    }
    asked = [...byPitch.values()];
    known.set(hands, asked);
  }
  return asked;
}

function isOctaveBelow({ harp }: Stringing, string: number): boolean {
  return !hasString(harp, string) && hasString(harp, string - 7);
}

/** The report about a pitch: at the first note that asks for it, the others beside. */
export function reportOfPitch({ name, uses }: AskedPitch, message: string): Report {
  const [first, ...others] = uses;
  const related: RelatedPlace[] = others.map(({ entry }) => ({
    span: startTagOf(entry.note),
    message: `${name} in bar ${entry.note.measure.number}.`,
  }));
  const times = others.length > 0 ? ` ${uses.length} notes ask for it.` : "";
  return {
    span: startTagOf(first!.entry.note),
    message: `${message}${times}`,
    at: { hand: first!.hand, event: first!.event },
    related,
  };
}

/** `34-string lever harp`, `this harp`. */
export function harpWords({ harp }: Stringing): string {
  return `the ${"title" in harp ? String(harp.title) : `chosen ${harp.count}-string harp`}`;
}

/** `Db4`: the pitch of a string that is altered so far. */
export function soundName({ string, alter }: StringPitch): string {
  return pitchName({ letter: letterOf(string), alter, octave: octaveOf(string) });
}

/** Words that tell to tune strings otherwise than usual, in the languages that harp music is printed in. */
const retuning = /\b(re-?tun|tune|tuning|scordatura|accorde[rz]|stimm|umstimm|intona|afina)/i;

const tuned = new WeakMap<RuleInput["score"], boolean>();

/** True when the score tells to tune strings otherwise: what its harp can sound is then not known. */
export function isRetuned({ text, harp, score }: RuleInput): boolean {
  let found = tuned.get(score);
  if (found === undefined) {
    found =
      text.includes("<scordatura") ||
      harp.parts.some((part) => part.words.some((words) => retuning.test(words.text)));
    tuned.set(score, found);
  }
  return found;
}

/** What every string can be set to, where that is known: a lever harp's depends on its tuning. */
export function knownStringing(input: RuleInput): Stringing | undefined {
  const { instrument } = input;
  if (!instrument || isRetuned(input)) return undefined;
  return instrument.harp.mechanism === "pedal" || instrument.open ? instrument : undefined;
}

/** The neighbouring strings that sound an asked pitch which its own string cannot; undefined when its own can. */
export function otherStrings(stringing: Stringing, asked: AskedPitch): StringPitch[] | undefined {
  const sounding = stringsSounding(stringing, asked);
  return sounding.some(({ string }) => string === asked.string) ? undefined : sounding;
}
