/** Builds MusicXML texts for tests that are about the reading itself. */

export interface PartText {
  readonly id?: string;
  readonly name?: string;
  /** Content of `<score-part>` after its name. */
  readonly instruments?: string;
  /** Content of each measure. */
  readonly measures: readonly string[];
}

/** A partwise score. Measures are numbered from 1. */
export function scoreText(...parts: readonly PartText[]): string {
  const list = parts.map(
    ({ id, name = "Harp", instruments = "" }, i) =>
      `<score-part id="${id ?? `P${i + 1}`}"><part-name>${name}</part-name>${instruments}</score-part>`,
  );
  const music = parts.map(({ id, measures }, i) => {
    const all = measures.map((measure, m) => `<measure number="${m + 1}">\n${measure}\n</measure>\n`);
    return `<part id="${id ?? `P${i + 1}`}">\n${all.join("")}</part>\n`;
  });
  return `<?xml version="1.0" encoding="UTF-8"?>\n<score-partwise version="4.0">\n<part-list>${list.join("")}</part-list>\n${music.join("")}</score-partwise>\n`;
}

export interface NoteText {
  /** In divisions; left out for a grace note. */
  readonly duration?: number;
  readonly voice?: string;
  readonly staff?: number;
  readonly chord?: boolean;
  /** Attributes of `<grace>`; an empty string for none. */
  readonly grace?: string;
  readonly tie?: "start" | "stop" | "both";
  /** Content of `<notations>`. */
  readonly notations?: string;
  readonly fingers?: readonly string[];
  /** Elements after `<grace>`, `<chord>`, pitch and duration, before `<voice>`. */
  readonly instrument?: string;
  /** Attributes of `<note>`. */
  readonly attributes?: string;
  readonly cue?: boolean;
  /** Elements after `notations`. */
  readonly after?: string;
  readonly notehead?: string;
}

/** A note, `C4` or `F#4` or `Bb3`, or a rest, `r`. */
export function note(pitch: string, options: NoteText = {}): string {
  const { duration = 1, voice = "1", staff, chord, grace, tie, fingers = [], cue } = options;
  const [, step, sign, octave] = /^([A-G])(##|#|bb|b)?(\d)$/.exec(pitch) ?? [];
  const alter = sign ? (sign.startsWith("#") ? sign.length : -sign.length) : 0;
  const ties = tie === "both" ? ["stop", "start"] : tie ? [tie] : [];
  const technical = fingers.map((finger) => `<fingering>${finger}</fingering>`).join("");
  const notations = `${options.notations ?? ""}${technical && `<technical>${technical}</technical>`}`;
  return [
    `<note${options.attributes ? ` ${options.attributes}` : ""}>`,
    grace === undefined ? "" : `<grace${grace ? ` ${grace}` : ""}/>`,
    cue ? "<cue/>" : "",
    chord ? "<chord/>" : "",
    step
      ? `<pitch><step>${step}</step>${alter ? `<alter>${alter}</alter>` : ""}<octave>${octave}</octave></pitch>`
      : "<rest/>",
    grace === undefined ? `<duration>${duration}</duration>` : "",
    ties.map((type) => `<tie type="${type}"/>`).join(""),
    options.instrument ? `<instrument id="${options.instrument}"/>` : "",
    `<voice>${voice}</voice>`,
    options.notehead ? `<notehead>${options.notehead}</notehead>` : "",
    staff === undefined ? "" : `<staff>${staff}</staff>`,
    notations && `<notations>${notations}</notations>`,
    options.after ?? "",
    "</note>\n",
  ].join("");
}

/** Notes of one chord. */
export function chord(pitches: readonly string[], options: NoteText = {}): string {
  return pitches.map((pitch, i) => note(pitch, { ...options, chord: i > 0 })).join("");
}

export function attributes(content: {
  divisions?: number;
  staves?: number;
  clefs?: readonly string[];
}): string {
  const { divisions, staves, clefs = [] } = content;
  return [
    "<attributes>",
    divisions === undefined ? "" : `<divisions>${divisions}</divisions>`,
    staves === undefined ? "" : `<staves>${staves}</staves>`,
    clefs.map((sign, i) => `<clef number="${i + 1}"><sign>${sign}</sign></clef>`).join(""),
    "</attributes>\n",
  ].join("");
}

export const backup = (duration: number): string => `<backup><duration>${duration}</duration></backup>\n`;
export const forward = (duration: number): string => `<forward><duration>${duration}</duration></forward>\n`;

export interface DirectionText {
  readonly staff?: number;
  readonly voice?: string;
  readonly placement?: "above" | "below";
  readonly offset?: number;
  /** What follows: a `<sound>`. */
  readonly sound?: string;
}

/** A direction with one or more `direction-type`s. */
export function direction(types: string | readonly string[], options: DirectionText = {}): string {
  const { staff, voice, placement, offset, sound = "" } = options;
  return [
    `<direction${placement ? ` placement="${placement}"` : ""}>`,
    [types]
      .flat()
      .map((type) => `<direction-type>${type}</direction-type>`)
      .join(""),
    offset === undefined ? "" : `<offset>${offset}</offset>`,
    voice === undefined ? "" : `<voice>${voice}</voice>`,
    staff === undefined ? "" : `<staff>${staff}</staff>`,
    sound,
    "</direction>\n",
  ].join("");
}

export const words = (text: string, options: DirectionText = {}): string =>
  direction(`<words>${text}</words>`, options);

export function bracket(
  type: "start" | "stop",
  number: number,
  options: DirectionText & { lineEnd?: string } = {},
): string {
  const { lineEnd = "down" } = options;
  return direction(`<bracket type="${type}" number="${number}" line-end="${lineEnd}"/>`, options);
}
