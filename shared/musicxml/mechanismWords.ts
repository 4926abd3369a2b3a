/**
 * How the setting of pedals or levers is written in words: `F♯ C♮`, `Fa ♯ Do ♮`; with the harpists' octave before it, as
 * counted from the top, where a single lever is meant: `3F♯`. Before the piece all of them stand behind `Set`.
 * Source for the octaves: mossharpservice.com, how harp strings are numbered. Words for the rest: common practice, no
 * source.
 */
const one = "[0-7]?(?:do|ut|r[eé]|mi|fa|sol|la|si|[A-G])[ \\u00a0]?[♭♮♯]";
const onlySettings = new RegExp(`^(?:Set:? )?${one}(?: +${one})*$`, "iu");

/** True when words say how pedals or levers are set and nothing else. */
export function isMechanismWords(text: string): boolean {
  return onlySettings.test(text.trim());
}
