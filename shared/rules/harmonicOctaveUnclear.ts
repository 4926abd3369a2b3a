import { defineRule, type RuleInput } from "./define.ts";
import type { PluckedNote } from "./support/piece.ts";
import { nameOf, numberWord, startTagOf } from "./support/places.ts";

/** What a `<harmonic>` says of the pitch that its note shows. Source: MusicXML 4.0, musicxml.xsd, complexType harmonic. */
const saysWhich = /<(base-pitch|touching-pitch|sounding-pitch)\b/;

/** Words about how harmonics are written, in the languages that harp music is printed in. */
const explained =
  /\b(harm|flag|arm[oó]n|sons?\b).*\b(sound\w*|written|string\w*|octave\w*|actual|r[eé]el\w*|effet|kling\w*|notier\w*|oktave\w*|reali?|scritt\w*|ottava|suena\w*|octava)\b/i;

export const harmonicOctaveUnclear = defineRule({
  id: "harmonic-octave-unclear",
  severity: "info",
  summary:
    "The score has harmonics and does not say whether they show the string or the sound, an octave higher.",
  why: "Harmonics are written where they are played today and were often written where they sound; the hand goes to another string in one case than in the other. A word at the first one tells the player.",
  bad: "C4/4!harmonic",
  good: "<harmonics sound an octave higher>C4/4!harmonic",
  fixes: [],
  check(input, report) {
    const unclear = unclearHarmonics(input);
    const [first, ...others] = unclear;
    if (!first || isExplained(input)) return;
    const count = others.length === 0 ? "a harmonic" : `${numberWord(unclear.length)} harmonics`;
    report({
      span: startTagOf(first.entry.note),
      message: `The piece has ${count} and does not say whether they show the string or what sounds, an octave higher; the string is taken. A word here would tell.`,
      at: first,
      related: others.map(({ entry }) => ({
        span: startTagOf(entry.note),
        message: `${nameOf(entry)} is a harmonic too.`,
      })),
    });
  },
});

function unclearHarmonics({ hands, text }: RuleInput): PluckedNote[] {
  const found: PluckedNote[] = [];
  for (const hand of hands) {
    hand.line.events.forEach(({ notes }, event) => {
      for (const entry of notes) {
        if (!entry.note.marks.harmonic) continue;
        const { start, end } = entry.note.site.span;
        if (!saysWhich.test(text.slice(start, end))) found.push({ hand, event, entry });
      }
    });
  }
  return found.sort((a, b) => a.entry.note.site.span.start - b.entry.note.site.span.start);
}

function isExplained({ harp }: RuleInput): boolean {
  return harp.parts.some((part) => part.words.some(({ text }) => explained.test(text)));
}
