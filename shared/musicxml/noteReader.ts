import type { Span } from "../text/span.ts";
import { textBetween } from "./element.ts";
import { ElementPlace } from "./elementPlace.ts";
import type { FingeringSite, NotationsSite, NoteSite, TechnicalSite } from "./noteSite.ts";
import type { TagAttributes } from "./scan.ts";

/** A lyric that begins with a digit, as fingers written into the lyrics do. */
export interface LyricDigits {
  readonly text: string;
  /** The `<text>` element. */
  readonly span: Span;
}

/** Signs in the `notations` of a note that change how it is played. */
export interface NoteSigns {
  arpeggio?: "up" | "down" | "plain";
  nonArpeggio?: boolean;
  harmonic?: boolean;
  tremolo?: "single" | "start" | "stop";
  trill?: boolean;
  slideStart?: boolean;
  slideStop?: boolean;
  fermata?: boolean;
  staccato?: boolean;
}

const noNotations: NotationsSite[] = [];
const noTechnical: TechnicalSite[] = [];
const noFingerings: FingeringSite[] = [];

/** Children of a note that follow `notations`. Source: MusicXML 4.0, musicxml.xsd, complexType note. */
const afterNotations = new Set(["notations", "lyric", "play", "listen"]);

/**
 * Reads a `<note>` from its tags. Notes are most of a score, so no tree is built of them: what is of interest goes
 * straight into the fields, which hold until the next note begins.
 */
export class NoteReader {
  readonly #source: string;

  /** Content of `step`, `alter` and `octave`; `step` is empty for a note without a pitch. */
  step = "";
  alter = "";
  octave = "";
  /** The note has a `<pitch>`, readable or not. */
  hasPitch = false;
  duration: string | undefined;
  voice = "1";
  staff = 1;
  /** Id of the `<instrument>`. */
  instrument: string | undefined;
  chord = false;
  cue = false;
  grace = false;
  /** The grace note takes its time from the note that follows. */
  stealsFollowing = false;
  printed = true;
  tieStart = false;
  tieStop = false;
  letRing = false;
  signs: NoteSigns | undefined;
  lyricDigits: LyricDigits[] | undefined;
  #start = 0;
  #contentStart = 0;
  #end = 0;
  #firstChild = -1;
  #notationsAt = 0;
  #notations = noNotations;

  /** 0 in the note itself, 1 in its children, and so on. */
  #depth = 0;
  #child = "";
  #inner = "";
  #leafStart = 0;
  #lyricTextStart = 0;
  #openNotations: ReadNotations | undefined;
  #openTechnical: ReadTechnical | undefined;
  #openFingering:
    | { start: number; contentStart: number; substitution: boolean; alternate: boolean }
    | undefined;

  constructor(source: string) {
    this.#source = source;
  }

  /** A note's own start tag. */
  begin(attributes: TagAttributes, start: number, contentStart: number): void {
    this.step = this.alter = this.octave = "";
    this.hasPitch = this.chord = this.cue = this.grace = this.stealsFollowing = false;
    this.duration = this.instrument = this.signs = this.lyricDigits = undefined;
    this.voice = "1";
    this.staff = 1;
    this.printed = attributes.get("print-object") !== "no";
    this.tieStart = this.tieStop = this.letRing = false;
    this.#start = start;
    this.#contentStart = contentStart;
    this.#notationsAt = contentStart;
    this.#firstChild = -1;
    this.#notations = noNotations;
    this.#depth = 0;
  }

  /** A start tag inside the note. */
  open(name: string, attributes: TagAttributes, start: number, contentStart: number): void {
    this.#depth += 1;
    this.#leafStart = contentStart;
    if (this.#depth === 1) {
      this.#child = name;
      if (this.#firstChild < 0) this.#firstChild = start;
      this.#openChild(name, attributes, start, contentStart);
    } else if (this.#child === "notations") {
      if (this.#depth === 2) this.#openNotation(name, attributes, start, contentStart);
      else if (this.#depth === 3) this.#openSign(name, attributes, start, contentStart);
    } else if (this.#child === "lyric" && this.#depth === 2) {
      this.#lyricTextStart = start;
    }
  }

  /** An end tag inside the note, or the note's own. @returns true when it was the note's own. */
  close(name: string, contentEnd: number, end: number): boolean {
    const depth = this.#depth;
    if (depth === 0) {
      this.#end = end;
      return true;
    }
    this.#depth -= 1;
    if (depth === 1) this.#closeChild(name, contentEnd, end);
    else if (depth === 2) this.#closeInner(name, contentEnd, end);
    else if (depth === 3 && this.#openFingering) this.#closeFingering(contentEnd, end);
    return false;
  }

  /** An element inside the note that holds no other. */
  leaf(
    name: string,
    attributes: TagAttributes,
    start: number,
    contentStart: number,
    contentEnd: number,
    end: number,
  ): void {
    if (this.#depth > 0 || name === "notations") {
      this.open(name, attributes, start, contentStart);
      this.close(name, contentEnd, end);
      return;
    }
    // Most elements of a note are such children.
    if (this.#firstChild < 0) this.#firstChild = start;
    this.#leafStart = contentStart;
    this.#openChild(name, attributes, start, contentStart);
    this.#closeChild(name, contentEnd, end);
  }

  get hasNotations(): boolean {
    return this.#notations.length > 0;
  }

  /** Where the note stands, and its fingering stands or would go. */
  site(): NoteSite {
    return new ReadNoteSite(
      this.#start,
      this.#contentStart,
      this.#end,
      this.#notationsAt,
      this.#firstChild < 0 ? this.#contentStart : this.#firstChild,
      this.#notations,
    );
  }

  #text(contentEnd: number): string {
    return textBetween(this.#source, this.#leafStart, contentEnd);
  }

  #openChild(name: string, attributes: TagAttributes, start: number, contentStart: number): void {
    switch (name) {
      case "pitch":
        this.hasPitch = true;
        break;
      case "chord":
        this.chord = true;
        break;
      case "cue":
        this.cue = true;
        break;
      case "grace":
        this.grace = true;
        this.stealsFollowing = attributes.get("steal-time-following") !== undefined;
        break;
      case "tie":
        this.#tie(attributes.get("type"));
        break;
      case "instrument":
        this.instrument = attributes.get("id");
        break;
      case "notations":
        this.#openNotations = new ReadNotations(start, contentStart, attributes.get("print-object") !== "no");
        break;
    }
  }

  #closeChild(name: string, contentEnd: number, end: number): void {
    switch (name) {
      case "duration":
        this.duration = this.#text(contentEnd);
        break;
      case "voice":
        this.voice = this.#text(contentEnd).trim();
        break;
      case "staff":
        this.staff = Number.parseInt(this.#text(contentEnd), 10) || 1;
        break;
      case "notehead":
        // A note without a head is a placeholder: the notes that a glissando passes, a shared stem.
        if (this.#text(contentEnd).trim() === "none") this.printed = false;
        break;
      case "notations":
        this.#closeNotations(contentEnd, end);
        break;
    }
    if (!afterNotations.has(name)) this.#notationsAt = end;
  }

  #closeInner(name: string, contentEnd: number, end: number): void {
    if (this.#child === "pitch") {
      if (name === "step") this.step = this.#text(contentEnd).trim();
      else if (name === "octave") this.octave = this.#text(contentEnd).trim();
      else if (name === "alter") this.alter = this.#text(contentEnd).trim();
    } else if (this.#child === "notations") {
      if (this.#openTechnical) this.#closeTechnical(contentEnd, end);
    } else if (this.#child === "lyric" && name === "text") {
      const text = this.#text(contentEnd).trim();
      if (/^\d/.test(text)) {
        this.lyricDigits ??= [];
        this.lyricDigits.push({ text, span: { start: this.#lyricTextStart, end } });
      }
    }
  }

  #openNotation(name: string, attributes: TagAttributes, start: number, contentStart: number): void {
    this.#inner = name;
    switch (name) {
      case "tied":
        this.#tie(attributes.get("type"));
        break;
      case "arpeggiate": {
        const direction = attributes.get("direction");
        this.#sign().arpeggio = direction === "up" || direction === "down" ? direction : "plain";
        break;
      }
      case "non-arpeggiate":
        this.#sign().nonArpeggio = true;
        break;
      case "fermata":
        this.#sign().fermata = true;
        break;
      case "glissando":
      case "slide":
        if (attributes.get("type") === "start") this.#sign().slideStart = true;
        else this.#sign().slideStop = true;
        break;
      case "technical":
        this.#openTechnical = new ReadTechnical(start, contentStart);
        break;
    }
  }

  #openSign(name: string, attributes: TagAttributes, start: number, contentStart: number): void {
    switch (name) {
      case "fingering":
        if (this.#inner !== "technical") break;
        this.#openFingering = {
          start,
          contentStart,
          substitution: attributes.get("substitution") === "yes",
          alternate: attributes.get("alternate") === "yes",
        };
        break;
      case "harmonic":
        if (this.#inner === "technical") this.#sign().harmonic = true;
        break;
      case "tremolo":
        if (this.#inner === "ornaments") {
          const type = attributes.get("type");
          this.#sign().tremolo = type === "start" || type === "stop" ? type : "single";
        }
        break;
      case "trill-mark":
        if (this.#inner === "ornaments") this.#sign().trill = true;
        break;
      case "staccato":
        if (this.#inner === "articulations") this.#sign().staccato = true;
        break;
    }
  }

  #sign(): NoteSigns {
    this.signs ??= {};
    return this.signs;
  }

  #tie(type: string | undefined): void {
    if (type === "start") this.tieStart = true;
    else if (type === "stop") this.tieStop = true;
    else if (type === "let-ring") this.letRing = true;
    else if (type === "continue") this.tieStart = this.tieStop = true;
  }

  #closeFingering(contentEnd: number, end: number): void {
    const { start, contentStart, substitution, alternate } = this.#openFingering!;
    this.#openFingering = undefined;
    const text = textBetween(this.#source, contentStart, contentEnd).trim();
    const fingering: FingeringSite = {
      span: { start, end },
      content: { start: contentStart, end: contentEnd },
      text,
      number: /^\d{1,2}$/.test(text) ? Number(text) : undefined,
      substitution,
      alternate,
    };
    const technical = this.#openTechnical!;
    technical.fingerings = withAdded(technical.fingerings, fingering);
  }

  #closeTechnical(contentEnd: number, end: number): void {
    const technical = this.#openTechnical!;
    this.#openTechnical = undefined;
    technical.finish(contentEnd, end);
    const notations = this.#openNotations!;
    notations.technical = withAdded(notations.technical, technical);
  }

  #closeNotations(contentEnd: number, end: number): void {
    const notations = this.#openNotations!;
    notations.finish(contentEnd, end);
    this.#notations = withAdded(this.#notations, notations);
  }
}

/** Nearly all of these lists have one entry; one that grew from none would take room for many. */
function withAdded<T>(list: T[], entry: T): T[] {
  if (list.length === 0) return [entry];
  list.push(entry);
  return list;
}

class ReadNotations extends ElementPlace implements NotationsSite {
  readonly printed: boolean;
  technical = noTechnical;

  constructor(start: number, contentStart: number, printed: boolean) {
    super(start, contentStart);
    this.printed = printed;
  }
}

class ReadTechnical extends ElementPlace implements TechnicalSite {
  fingerings = noFingerings;
}

/** Few numbers in plain fields, as the elements in it: most notes are never edited, and a big score has many. */
class ReadNoteSite implements NoteSite {
  readonly start: number;
  readonly contentStart: number;
  readonly end: number;
  readonly notationsAt: number;
  readonly firstChild: number;
  readonly notations: readonly NotationsSite[];

  constructor(
    start: number,
    contentStart: number,
    end: number,
    notationsAt: number,
    firstChild: number,
    notations: readonly NotationsSite[],
  ) {
    this.start = start;
    this.contentStart = contentStart;
    this.end = end;
    this.notationsAt = notationsAt;
    this.firstChild = firstChild;
    this.notations = notations;
  }

  get span(): Span {
    return { start: this.start, end: this.end };
  }

  get startTag(): Span {
    return { start: this.start, end: this.contentStart };
  }
}
