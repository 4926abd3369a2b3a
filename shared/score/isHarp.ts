import type { Instrument, Part } from "./model.ts";

/**
 * The harp in English, German, French, Italian, Spanish, Portuguese, Dutch and the Nordic languages, Welsh, Breton,
 * Irish and Scottish Gaelic, and in Russian, Polish, Czech, Hungarian, Chinese, Japanese and Korean.
 * Source: common practice, no source.
 */
const harpWords =
  /(?<!\p{L})(harps?|harpes?|harfen?|arp[ae]s?|harpa|harpun?|harfa|telyn(au)?|telenn|cl[aá]irseach(a)?|cl[aà]rsach|cruit|h[aá]rf[aá]|арф[аы]|竖琴|豎琴|ハープ|하프)(?!\p{L})/iu;
/** Instruments that have the word in their names and are not plucked by two hands on strings side by side. */
const otherHarps =
  /(mouth|jew'?s|jaw|blues|wind|(a?e|æ)olian|auto)[\s-]*harp|harp[\s-]*guitar|harpe (éolienne|à bouche)|mundharfe|windharfe|arpa (de boca|eolia)|mondharp/iu;

/** Whether a name is a harp's. */
export function namesHarp(name: string): boolean {
  return harpWords.test(name) && !otherHarps.test(name);
}

/**
 * Whether an instrument is a harp: by its sound, its program or its name.
 * Source: MusicXML 4.0, sounds.xml (`pluck.harp` and below); General MIDI, program 47, orchestral harp.
 */
export function isHarp(instrument: Instrument): boolean {
  if (/^pluck\.harp(\.|$)/.test(instrument.sound)) return true;
  return instrument.midiProgram === 47 || namesHarp(instrument.name);
}

/** Whether a part is a harp's, or its player takes the harp at some place. */
export function hasHarp(part: Part): boolean {
  return namesHarp(part.name) || part.instruments.some(isHarp);
}
