/** Names of notes, in letters and in syllables: a part of a pattern, for any case. */
export const noteNames = "do|ut|r[eé]|mi|fa|sol|la|si|[A-G]";

/**
 * How the setting of one pedal or lever is written: a part of a pattern with the groups octave, name and sign, for any
 * case. `F♯`, `Fa ♯`; with the harpists' octave before it, as counted from the top, where a single lever is meant: `3F♯`.
 * Source for the octaves: mossharpservice.com, how harp strings are numbered. Words for the rest: common practice, no
 * source.
 */
export const settingPattern = `([0-7])?(${noteNames})[ \\u00a0]?([♭♮♯])`;

/** Some of them; before the piece all of them stand behind `Set`. */
const onlySettings = new RegExp(`^(?:Set:? )?${settingPattern}(?: +${settingPattern})*$`, "iu");

/** True when words say how pedals or levers are set and nothing else. */
export function isMechanismWords(text: string): boolean {
  return onlySettings.test(text.trim());
}
