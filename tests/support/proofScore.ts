/** A real piece, cleanly fingered, with the means to change it as a careless hand would. */
import type { HandName } from "../../shared/fingering/model.ts";
import type { Profile } from "../../shared/fingering/profile.ts";
import { bracketStartNote, bracketStop, notePrinted } from "../../shared/fingering/write.ts";
import { mainFingering, type WrittenHand } from "../../shared/fingering/written.ts";
import type { Stringing } from "../../shared/harp/tunings.ts";
import { bracketAfter, bracketBefore, removeBracketEnd } from "../../shared/musicxml/bracketEdits.ts";
import { mainFingeringSite, removeFingering, setFingering } from "../../shared/musicxml/fingeringEdits.ts";
import { decodeScoreFile } from "../../shared/musicxml/scoreFile.ts";
import type { PrintedBracket } from "../../shared/score/brackets.ts";
import type { EventNote, LineEvent } from "../../shared/score/handLines.ts";
import type { Note } from "../../shared/score/model.ts";
import { add, format, rational } from "../../shared/score/rational.ts";
import { type Analysis, analyse, type Settings } from "../../shared/service/analyse.ts";
import { fingeredText, fingerScore } from "../../shared/service/fingerScore.ts";
import type { Edit } from "../../shared/text/edits.ts";
import { corpusFile } from "./corpus.ts";

/** Real pieces, and the part that is taken for the harp's. */
export const pieces: readonly { readonly path: string; readonly part?: string }[] = [
  { path: "lieder/Abrams_Crazy_Jane_lc6583907.mxl" },
  { path: "hauptstimme/D_un_matin_de_printemps.mxl" },
  { path: "mx/freezing.xml" },
  { path: "lieder/Viardot_Belle_Yoli__VWV_1134_lc5988382.mxl", part: "P2" },
  {
    path: "lieder/Schumann_Zwei_venetianische_Lieder_II__Wenn_durch_die_Piazza__lc6969398.mxl",
    part: "P2",
  },
  { path: "lieder/Brahms_O_komme__holde_Sommernacht_lc5098705.mxl", part: "P2" },
];

/** What is known besides the score: the harp, the player. */
export interface Known {
  readonly instrument?: Stringing;
  readonly profile?: Profile;
}

/** Where a finding has to be. */
export interface Spot {
  readonly hand: HandName;
  readonly bar: string;
  /** In quarter notes from 1. */
  readonly beat: string;
}

/** A note of a hand, by the event that it is of. */
export interface Place {
  readonly hand: WrittenHand;
  readonly event: number;
}

export class ProofScore {
  readonly settings: Settings;
  readonly analysis: Analysis;
  readonly #told: ReadonlyMap<WrittenHand, readonly boolean[]>;
  #nextNumber = 9;

  constructor(text: string, settings: Settings) {
    this.settings = settings;
    this.analysis = analyse(text, settings);
    this.#told = new Map(
      this.hands.map((hand) => {
        const told = new Array<boolean>(hand.line.events.length).fill(false);
        for (const { places } of this.analysis.findings)
          for (const place of places)
            if (place.hand === hand.hand) told.fill(true, place.first, place.last + 1);
        return [hand, told];
      }),
    );
  }

  /** The same score when more is known. */
  knowing(known: Known): ProofScore {
    return new ProofScore(this.text, { ...this.settings, ...known });
  }

  get text(): string {
    return this.analysis.text;
  }

  get hands(): readonly WrittenHand[] {
    return this.analysis.hands;
  }

  /** Nothing is found at these events nor beside them. */
  isClean(hand: WrittenHand, first: number, last: number): boolean {
    const told = this.#told.get(hand)!;
    for (let event = Math.max(0, first - 2); event <= Math.min(told.length - 1, last + 2); event += 1)
      if (told[event]) return false;
    return true;
  }

  /** The brackets that reach into these events, one note of them or more. */
  bracketsIn(hand: WrittenHand, first: number, last: number): PrintedBracket[] {
    return hand.brackets.brackets.filter((bracket) => bracket.last >= first && bracket.first <= last);
  }

  digit(entry: EventNote, finger: number | string): Edit[] {
    const edit = setFingering(this.text, notePrinted(entry).site, String(finger), "above");
    return edit ? [edit] : [];
  }

  /** Lowest note first; what is left out stays. */
  digits(hand: WrittenHand, event: number, fingers: readonly number[]): Edit[] {
    return hand.line.events[event]!.notes.flatMap((entry, i) =>
      fingers[i] === undefined ? [] : this.digit(entry, fingers[i]!),
    );
  }

  withoutDigit(entry: EventNote): Edit[] {
    const { site } = notePrinted(entry);
    const main = mainFingeringSite(site);
    return main ? [removeFingering(this.text, site, main)] : [];
  }

  withoutBracket({ start, stop }: Pick<PrintedBracket, "start" | "stop">): Edit[] {
    return [start, stop].map(({ removal }) => removeBracketEnd(this.text, removal));
  }

  bracket(hand: WrittenHand, first: number, last: number): Edit[] {
    const { line } = hand;
    const { part } = line.events[first]!;
    const start = bracketStartNote(line, first);
    const { stopNote, stopOffsetDivisions } = bracketStop(this.analysis.score, line, last, start.voice);
    const number = this.#nextNumber;
    this.#nextNumber = number === 16 ? 9 : number + 1;
    const shared = {
      number,
      placement: hand.hand === "right" ? "above" : "below",
      voice: start.voice,
      staff: part.staves > 1 ? start.staff : undefined,
    } as const;
    return [
      bracketBefore(this.text, start.site, { ...shared, type: "start", offsetDivisions: 0 }),
      bracketAfter(this.text, stopNote.site, {
        ...shared,
        type: "stop",
        offsetDivisions: stopOffsetDivisions,
      }),
    ];
  }

  words(hand: WrittenHand, event: number, said: string): Edit[] {
    const note = bracketStartNote(hand.line, event);
    const staff = hand.line.events[event]!.part.staves > 1 ? `<staff>${note.staff}</staff>` : "";
    const at = note.site.span.start;
    return [
      {
        span: { start: at, end: at },
        text: `<direction placement="above"><direction-type><words>${said}</words></direction-type><voice>${note.voice}</voice>${staff}</direction>`,
      },
    ];
  }

  /** Puts a note on another string, or alters it otherwise. */
  pitch({ site }: Note, string: number, alter = 0): Edit[] {
    const { start, end } = site.span;
    const found = /<pitch>[\s\S]*?<\/pitch>/.exec(this.text.slice(start, end));
    if (!found) return [];
    const at = start + found.index;
    return [{ span: { start: at, end: at + found[0].length }, text: pitchXml(string, alter) }];
  }

  /** Adds a note without a finger to the chord of this one. */
  chordNote({ site }: Note, string: number): Edit[] {
    const { start, end } = site.span;
    const copy = this.text
      .slice(start, end)
      .replace(/<pitch>[\s\S]*?<\/pitch>/, pitchXml(string, 0))
      .replace(/<(notations|lyric|beam|accidental|tie)\b[^>]*?(\/>|>[\s\S]*?<\/\1>)\s*/g, "")
      .replace(/\sid="[^"]*"/g, "");
    const own = copy.includes("<chord/>") ? copy : copy.replace(/<pitch>/, "<chord/>$&");
    return [{ span: { start: end, end }, text: own }];
  }

  /** Puts an element into the note's `<technical>`, of which it has one. */
  technical({ site }: Note, element: string): Edit[] {
    const technical = site.notations.flatMap((notations) => notations.technical)[0];
    if (!technical) return [];
    const at = technical.content.start;
    return [{ span: { start: at, end: at }, text: element }];
  }

  spot({ hand, event }: Place): Spot {
    return spotOf(hand.hand, hand.line.events[event]!.notes[0]!.note);
  }
}

export function spotOf(hand: HandName, { measure, position }: Note): Spot {
  return { hand, bar: measure.number, beat: format(add(position, rational(1))) };
}

/** A piece of the collection with its harp's part only, fingered anew, each place by itself. */
export function proofScore(piece: (typeof pieces)[number]): ProofScore {
  const { text } = decodeScoreFile(corpusFile(piece.path));
  const settings: Settings = piece.part === undefined ? {} : { part: piece.part };
  const parts = analyse(text, settings).harp!.parts.map(({ id }) => id);
  const alone = analyse(onlyParts(text, parts), settings);
  return new ProofScore(
    fingeredText(alone, fingerScore(alone, { mode: "fresh", alike: false })),
    alone.settings,
  );
}

/** The score without its other parts; a tempo that only another part tells is kept by the first bar. */
function onlyParts(text: string, ids: readonly string[]): string {
  const tempo = /<sound\b[^>]*\btempo="[^"]*"[^>]*\/>/.exec(text)?.[0];
  const alone = text
    .replace(/<score-part\b[^>]*\bid="([^"]*)"[\s\S]*?<\/score-part>\s*/g, (all, own) =>
      ids.includes(own) ? all : "",
    )
    .replace(/<part-group\b[^>]*?(\/>|>[\s\S]*?<\/part-group>)\s*/g, "")
    .replace(/<part\b[^>]*\bid="([^"]*)"[\s\S]*?<\/part>\s*/g, (all, own) => (ids.includes(own) ? all : ""));
  if (tempo === undefined || alone.includes('tempo="') || alone.includes("<metronome")) return alone;
  return alone.replace(
    /(<part\b[^>]*>\s*<measure\b[^>]*>(?:\s*<(?:print|attributes)\b[\s\S]*?<\/(?:print|attributes)>)*)/,
    `$1${tempo}`,
  );
}

function pitchXml(string: number, alter: number): string {
  const step = "CDEFGAB"[string % 7]!;
  const altered = alter === 0 ? "" : `<alter>${alter}</alter>`;
  return `<pitch><step>${step}</step>${altered}<octave>${Math.floor(string / 7)}</octave></pitch>`;
}

/** The one finger that is printed at a single note; undefined for a chord, or where there is none. */
export function singleFinger(hand: WrittenHand, event: number): number | undefined {
  const found = hand.line.events[event];
  if (found?.notes.length !== 1 || found.notes[0]!.doubles.length > 0) return undefined;
  return mainFingering(found.notes[0]!)?.number;
}

export function stringAt(hand: WrittenHand, event: number): number {
  return hand.line.events[event]!.notes[0]!.string;
}

/** From this event to the next, in seconds; endless after the last. */
export function gapSeconds({ line }: WrittenHand, event: number): number {
  const [here, next] = [line.events[event], line.events[event + 1]];
  return here && next ? (next.atMicros - here.atMicros) / 1e6 : Number.POSITIVE_INFINITY;
}

/** It is plucked as most notes are, in time. */
export function isPlain({ notes, grace, rolled }: LineEvent): boolean {
  const marks = (note: Note): boolean =>
    Object.entries(note.marks).some(([name, value]) => value && name !== "fermata");
  return !grace && !rolled && notes.every(({ note, doubles }) => doubles.length === 0 && !marks(note));
}
