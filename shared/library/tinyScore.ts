/**
 * A short notation for scores, so that a rule's example fits in a line.
 *
 *     R: (C4:4 D4:3 E4:2 F4:1) G4 // L: C3/2:4 C3:4+G3:2+E4:1
 *
 * Words are separated by blanks; what belongs to one note stands together, in this order:
 *
 *     ( ~ C#4 _ /2 :1 !roll )
 *
 *     C4  F#4  Bb3  F##4   a pitch in scientific octaves (C4 = middle C)
 *     C4:3+E4:2+G4:1       a chord; each note has its own finger and tie, the length and marks are the chord's
 *     r                    a rest
 *     C4:1                 a finger; any text: `:21`, `:T`, in quotes where it has a blank or a sign of the notation:
 *                          `:"2 1"`, `:"+"`; several of one note: `:3,2` plain, `:3>2` 2 as a substitution,
 *                          `:3?2` 2 as an alternate; `:^1` on the other side of the staff than the hand's fingers usually are
 *     C4/2  C4/0.5  C4/1/3 a length in quarter notes; without it half a quarter
 *     C4_                  tied to the next event's note of this pitch
 *     ~D5                  a grace note
 *     (C4 D4)              a placing bracket from before the first to after the last note. Brackets may overlap and
 *                          share a note: `(F4 (A4) G4)`. A `)` closes the bracket that has been open longest, so the
 *                          first `)` here belongs to the first `(`.
 *     (^C4 D4)             a bracket on the other side of the staff than the hand's brackets usually are
 *     {C4   C4}            a bracket that starts here and never stops, or stops here and never started
 *     |                    ends the bar here, however long it is; without it a bar ends when four quarters are full
 *     @100                 quarter notes a minute, anywhere, for the whole piece; without it 100; @? states no tempo
 *     <l.h.>C4             words in a direction before the note
 *     C4=n1                a note and its id
 *     R: … // L: …         the staves of the two hands; without a name it is the right hand's. Only R, or only L: one
 *                          staff with a treble or a bass clef. A hand that is named twice has two voices on its staff.
 *     C4!roll              a mark; there may be several: roll (arpeggiated), struck (non-arpeggiate), trill, tremolo,
 *                          harmonic, ring (let ring), slide (to the next event), fermata, staccato, cue, hidden (not printed),
 *                          misplaced (the voice stands last in the note, where the standard does not allow it)
 *     [ … ]                where a finding is expected: around a finger (`C4:[5]`), a bracket's end (`[(]C4 D4)`), words, or
 *                          a note (`[C4:5]`; the first note of what is enclosed)
 *
 * The score is a MusicXML 4.0 partwise file with one harp, laid out one element a line.
 */
import {
  add,
  compare,
  larger,
  type Rational,
  rational,
  subtract,
  toNumber,
  zero,
} from "../score/rational.ts";
import type { Span } from "../text/span.ts";

export interface TinyScore {
  /** The MusicXML text. */
  readonly text: string;
  /** Where findings are expected: a fingering element, a bracket element or a note's start tag; in text order. */
  readonly marks: readonly Span[];
}

/** @throws SyntaxError when the notation cannot be read; the message shows where. */
export function tinyScore(notation: string): TinyScore {
  return new ScoreWriter(parse(notation)).write();
}

/** Something in the notation that a finding can point at. */
interface Markable {
  kind: "note" | "finger" | "bracket" | "words";
  marks: number;
}

interface TinyFinger extends Markable {
  kind: "finger";
  text: string;
  role: "plain" | "substitution" | "alternate";
  otherSide: boolean;
}

interface TinyWords extends Markable {
  kind: "words";
  text: string;
}

interface TinyNote extends Markable {
  kind: "note";
  id: string | undefined;
  step: string;
  alter: number;
  octave: string;
  fingers: TinyFinger[];
  tied: boolean;
}

interface TinyBracketEnd extends Markable {
  kind: "bracket";
  type: "start" | "stop";
  number: number;
  otherSide: boolean;
}

interface TinyEvent {
  /** Empty for a rest. */
  notes: TinyNote[];
  quarters: Rational;
  grace: boolean;
  marks: Set<string>;
  words: TinyWords[];
  before: TinyBracketEnd[];
  after: TinyBracketEnd[];
}

interface TinyVoice {
  hand: "right" | "left";
  /** 0 for the hand's first voice. */
  inHand: number;
  bars: { events: TinyEvent[]; ended: boolean }[];
}

interface TinyPiece {
  voices: TinyVoice[];
  /** 0 when none is stated. */
  tempo: number;
}

const barQuarters = rational(4);
const divisions = 48;

const eventMarks = new Set([
  "roll",
  "struck",
  "trill",
  "tremolo",
  "harmonic",
  "ring",
  "slide",
  "fermata",
  "staccato",
  "cue",
  "hidden",
  "misplaced",
]);

function parse(notation: string): TinyPiece {
  const piece: TinyPiece = { voices: [], tempo: 100 };
  let from = 0;
  for (const section of notation.split("//")) {
    const header = /^\s*(?:([RL]):)?/.exec(section)!;
    const hand = header[1] === "L" ? "left" : "right";
    const parser = new VoiceParser(notation, from + header[0].length, from + section.length);
    const inHand = piece.voices.filter((voice) => voice.hand === hand).length;
    piece.voices.push({ hand, inHand, bars: parser.bars() });
    piece.tempo = parser.tempo ?? piece.tempo;
    from += section.length + 2;
  }
  return piece;
}

/** What stands before a note. */
interface Waiting {
  readonly brackets: TinyBracketEnd[];
  readonly words: TinyWords[];
  grace: boolean;
}

function nothingWaiting(): Waiting {
  return { brackets: [], words: [], grace: false };
}

/** Reads one voice of the notation. */
class VoiceParser {
  tempo: number | undefined;
  readonly #notation: string;
  readonly #end: number;
  #at: number;
  readonly #bars: TinyVoice["bars"] = [];
  /** The event that what comes next belongs to; undefined between words. */
  #event: TinyEvent | undefined;
  #lastEvent: TinyEvent | undefined;
  /** What stands before a word's first note. */
  #waiting: Waiting = nothingWaiting();
  #open: TinyBracketEnd[] = [];
  /** For each open `[`, what it encloses so far. */
  readonly #enclosed: Markable[][] = [];

  constructor(notation: string, start: number, end: number) {
    this.#notation = notation;
    this.#at = start;
    this.#end = end;
  }

  bars(): TinyVoice["bars"] {
    while (this.#at < this.#end) this.#token();
    if (this.#enclosed.length > 0) this.#fail("a [ is not closed");
    if (this.#waiting.brackets.length > 0 || this.#waiting.grace) this.#fail("a note is missing");
    if (this.#open.length > 0) this.#fail("a ( is not closed; a lone start is written {");
    if (this.#bars.length === 0) this.#fail("there is no note");
    const tooLong = this.#bars.findIndex(
      ({ events, ended }) => !ended && compare(filled(events), barQuarters) > 0,
    );
    if (tooLong >= 0) this.#fail(`bar ${tooLong + 1} is longer than four quarters; end it with |`);
    return this.#bars;
  }

  #token(): void {
    if (this.#take(/\s+/)) {
      this.#event = undefined;
    } else if (this.#take(/\[/)) {
      this.#enclosed.push([]);
    } else if (this.#take(/\]/)) {
      this.#closeMark();
    } else if (this.#take(/\(/)) {
      const start = bracketEnd("start", this.#freeNumber());
      start.otherSide = this.#take(/\^/) !== undefined;
      this.#open.push(start);
      this.#waiting.brackets.push(this.#note(start));
    } else if (this.#take(/\)/)) {
      const start = this.#open.shift();
      if (!start) this.#fail("a ) has no (; a lone stop is written }");
      this.#stop(start.number, start.otherSide);
    } else if (this.#take(/\{/)) {
      this.#waiting.brackets.push(this.#note(bracketEnd("start", this.#freeNumber())));
    } else if (this.#take(/\}/)) {
      this.#stop(this.#freeNumber());
    } else if (this.#take(/\|/)) {
      if (this.#bars.length === 0) this.#bars.push({ events: [], ended: false });
      this.#bars[this.#bars.length - 1]!.ended = true;
    } else if (this.#takeWords()) {
      this.#event = undefined;
    } else if (this.#take(/~/)) {
      this.#waiting.grace = true;
    } else if (this.#take(/\+/)) {
      if (!this.#lastEvent || this.#lastEvent.notes.length === 0)
        this.#fail("a + joins two notes of a chord");
      this.#event = this.#lastEvent;
    } else if (!this.#noteToken()) {
      this.#fail("this cannot be read");
    }
  }

  #takeWords(): boolean {
    const words = this.#take(/<([^<>]+)>/);
    if (words) this.#waiting.words.push(this.#note({ kind: "words", marks: 0, text: words[1]! }));
    return words !== undefined;
  }

  #stop(number: number, otherSide = false): void {
    if (!this.#lastEvent) this.#fail("a bracket stops before the first note");
    this.#lastEvent.after.push(this.#note({ ...bracketEnd("stop", number), otherSide }));
  }

  #noteToken(): boolean {
    const tempo = this.#take(/@(\d+|\?)/);
    if (tempo) {
      this.tempo = tempo[1] === "?" ? 0 : Number(tempo[1]);
      return true;
    }
    const pitch = this.#take(/([A-G])(##?|bb?|)(\d)/);
    if (pitch) {
      const alter = pitch[2]!.length * (pitch[2]!.startsWith("b") ? -1 : 1);
      const note: TinyNote = {
        kind: "note",
        id: undefined,
        marks: 0,
        step: pitch[1]!,
        alter,
        octave: pitch[3]!,
        fingers: [],
        tied: false,
      };
      (this.#event ?? this.#newEvent()).notes.push(this.#note(note));
      return true;
    }
    if (this.#take(/r(?![A-Za-z])/)) {
      this.#newEvent();
      return true;
    }
    const event = this.#event;
    if (!event) return false;
    const length = this.#take(/\/(\d+(?:\.\d+)?)(?:\/(\d+))?/);
    if (length) {
      const thousandths = Math.round(Number(length[1]) * 1000);
      event.quarters = rational(thousandths, 1000 * Number(length[2] ?? 1));
      return true;
    }
    const mark = this.#take(/!([a-z]+)/);
    if (mark) {
      if (!eventMarks.has(mark[1]!)) this.#fail(`!${mark[1]} is not a mark`);
      event.marks.add(mark[1]!);
      return true;
    }
    const note = event.notes[event.notes.length - 1];
    if (!note) return false;
    if (this.#take(/_/)) {
      note.tied = true;
      return true;
    }
    const id = this.#take(/=([a-z]\w*)/);
    if (id) {
      note.id = id[1]!;
      return true;
    }
    const separator = this.#take(/[:,>?]/);
    return separator ? this.#finger(note, separator[0]) : false;
  }

  #finger(note: TinyNote, separator: string): boolean {
    const markOpens = this.#take(/\[/);
    if (markOpens) this.#enclosed.push([]);
    const otherSide = this.#take(/\^/) !== undefined;
    const text = this.#take(/"([^"]*)"|([^\s()[\]{}|~+_/:!,=<>?"]+)/);
    if (!text) this.#fail("a finger is missing");
    const role = separator === ">" ? "substitution" : separator === "?" ? "alternate" : "plain";
    note.fingers.push(this.#note({ kind: "finger", marks: 0, text: text[1] ?? text[2]!, role, otherSide }));
    return true;
  }

  #newEvent(): TinyEvent {
    const event: TinyEvent = {
      notes: [],
      quarters: rational(1, 2),
      grace: this.#waiting.grace,
      marks: new Set(),
      words: this.#waiting.words,
      before: this.#waiting.brackets,
      after: [],
    };
    this.#waiting = nothingWaiting();
    const bar = this.#bars[this.#bars.length - 1];
    if (!bar || bar.ended || compare(filled(bar.events), barQuarters) >= 0) {
      this.#bars.push({ events: [event], ended: false });
    } else {
      bar.events.push(event);
    }
    this.#event = event;
    this.#lastEvent = event;
    return event;
  }

  /** Remembers it for the marks that are open around it. */
  #note<T extends Markable>(thing: T): T {
    for (const enclosed of this.#enclosed) enclosed.push(thing);
    return thing;
  }

  #closeMark(): void {
    const enclosed = this.#enclosed.pop();
    if (!enclosed) this.#fail("a ] has no [");
    const marked = enclosed.find(({ kind }) => kind === "note") ?? enclosed[0];
    if (!marked) this.#fail("nothing is marked");
    marked.marks += 1;
  }

  /** The least number, from 1, that no open bracket of this voice has. */
  #freeNumber(): number {
    let number = 1;
    while (this.#open.some((bracket) => bracket.number === number)) number += 1;
    return number;
  }

  #take(pattern: RegExp): RegExpExecArray | undefined {
    const sticky = new RegExp(pattern.source, "y");
    sticky.lastIndex = this.#at;
    const match = sticky.exec(this.#notation);
    if (!match) return undefined;
    this.#at += match[0].length;
    return match;
  }

  #fail(what: string): never {
    const before = this.#notation.slice(0, this.#at);
    throw new SyntaxError(`${what}: ${before} <here> ${this.#notation.slice(this.#at)}`);
  }
}

function bracketEnd(type: "start" | "stop", number: number): TinyBracketEnd {
  return { kind: "bracket", marks: 0, type, number, otherSide: false };
}

function filled(events: readonly TinyEvent[]): Rational {
  return events.reduce((sum, event) => (event.grace ? sum : add(sum, event.quarters)), zero);
}

/** Writes the piece as MusicXML and keeps where the marked things come to stand. */
class ScoreWriter {
  readonly #piece: TinyPiece;
  readonly #twoStaves: boolean;
  #text = "";
  readonly #marks: Span[] = [];

  constructor(piece: TinyPiece) {
    this.#piece = piece;
    this.#twoStaves = new Set(piece.voices.map(({ hand }) => hand)).size === 2;
  }

  write(): TinyScore {
    this.#line(0, '<?xml version="1.0" encoding="UTF-8"?>');
    this.#line(0, '<score-partwise version="4.0">');
    this.#line(1, "<part-list>");
    this.#line(2, '<score-part id="P1">');
    this.#line(3, "<part-name>Harp</part-name>");
    this.#line(3, '<score-instrument id="P1-I1">');
    this.#line(4, "<instrument-name>Harp</instrument-name>");
    this.#line(4, "<instrument-sound>pluck.harp</instrument-sound>");
    this.#line(3, "</score-instrument>");
    this.#line(2, "</score-part>");
    this.#line(1, "</part-list>");
    this.#line(1, '<part id="P1">');
    const voices = [...this.#piece.voices].sort(
      (a, b) => Number(a.hand === "left") - Number(b.hand === "left"),
    );
    const count = Math.max(...voices.map(({ bars }) => bars.length));
    for (let i = 0; i < count; i += 1) this.#measure(i, voices);
    this.#line(1, "</part>");
    this.#line(0, "</score-partwise>");
    return { text: this.#text, marks: this.#marks.sort((a, b) => a.start - b.start || a.end - b.end) };
  }

  #measure(index: number, voices: readonly TinyVoice[]): void {
    const bars = voices.map(({ bars }) => bars[index]);
    const shortest = bars.some((bar) => bar?.ended) ? zero : barQuarters;
    const length = bars.map((bar) => filled(bar?.events ?? [])).reduce(larger, shortest);
    this.#line(2, `<measure number="${index + 1}">`);
    if (index === 0) this.#attributes(voices);
    voices.forEach((voice, v) => {
      if (v > 0) this.#line(3, `<backup><duration>${ticks(length)}</duration></backup>`);
      const voiceName = String(voice.hand === "right" ? v + 1 : v + 5);
      const events = bars[v]?.events ?? [];
      for (const event of events) this.#event(event, voice, voiceName);
      const rest = subtract(length, filled(events));
      if (rest.n > 0) this.#rest(rest, voice, voiceName);
    });
    this.#line(2, "</measure>");
  }

  #attributes(voices: readonly TinyVoice[]): void {
    this.#line(3, "<attributes>");
    this.#line(4, `<divisions>${divisions}</divisions>`);
    this.#line(4, "<key><fifths>0</fifths></key>");
    this.#line(4, "<time><beats>4</beats><beat-type>4</beat-type></time>");
    if (this.#twoStaves) this.#line(4, "<staves>2</staves>");
    const hands = [...new Set(voices.map(({ hand }) => hand))];
    for (const hand of hands) {
      const number = this.#twoStaves ? ` number="${this.#staffOf(hand)}"` : "";
      const clef = hand === "right" ? "<sign>G</sign><line>2</line>" : "<sign>F</sign><line>4</line>";
      this.#line(4, `<clef${number}>${clef}</clef>`);
    }
    this.#line(3, "</attributes>");
    const { tempo } = this.#piece;
    if (tempo === 0) return;
    this.#line(3, '<direction placement="above">');
    this.#line(4, "<direction-type>");
    this.#line(5, `<metronome><beat-unit>quarter</beat-unit><per-minute>${tempo}</per-minute></metronome>`);
    this.#line(4, "</direction-type>");
    this.#line(4, `<sound tempo="${tempo}"/>`);
    this.#line(3, "</direction>");
  }

  #event(event: TinyEvent, voice: TinyVoice, voiceName: string): void {
    for (const words of event.words) this.#words(words, voice, voiceName);
    for (const end of event.before) this.#bracket(end, voice, voiceName);
    if (event.notes.length === 0) this.#rest(event.quarters, voice, voiceName);
    event.notes.forEach((note, i) => {
      this.#note(note, i, event, voice, voiceName);
    });
    for (const end of event.after) this.#bracket(end, voice, voiceName);
  }

  #rest(quarters: Rational, voice: TinyVoice, voiceName: string): void {
    this.#line(3, "<note>");
    this.#line(4, "<rest/>");
    this.#line(4, `<duration>${ticks(quarters)}</duration>`);
    this.#line(4, `<voice>${voiceName}</voice>`);
    this.#staff(4, voice);
    this.#line(3, "</note>");
  }

  #note(note: TinyNote, inChord: number, event: TinyEvent, voice: TinyVoice, voiceName: string): void {
    const { marks } = event;
    const id = note.id === undefined ? "" : ` id="${note.id}"`;
    this.#line(3, marks.has("hidden") ? `<note print-object="no"${id}>` : `<note${id}>`, note);
    if (event.grace) this.#line(4, "<grace/>");
    else if (marks.has("cue")) this.#line(4, "<cue/>");
    if (inChord > 0) this.#line(4, "<chord/>");
    this.#line(4, "<pitch>");
    this.#line(5, `<step>${note.step}</step>`);
    if (note.alter !== 0) this.#line(5, `<alter>${note.alter}</alter>`);
    this.#line(5, `<octave>${note.octave}</octave>`);
    this.#line(4, "</pitch>");
    if (!event.grace) this.#line(4, `<duration>${ticks(event.quarters)}</duration>`);
    const tiedFrom = this.#tiedFrom(note, event, voice);
    if (tiedFrom) this.#line(4, '<tie type="stop"/>');
    if (note.tied) this.#line(4, '<tie type="start"/>');
    const voiceLine = `<voice>${voiceName}</voice>`;
    if (!marks.has("misplaced")) this.#line(4, voiceLine);
    const type = event.grace ? "eighth" : noteTypes[toNumber(event.quarters)];
    if (type) {
      this.#line(4, `<type>${type.replace(".", "")}</type>`);
      if (type.endsWith(".")) this.#line(4, "<dot/>");
    }
    this.#staff(4, voice);
    this.#notations(note, inChord, event, voice, tiedFrom);
    if (marks.has("misplaced")) this.#line(4, voiceLine);
    this.#line(3, "</note>");
  }

  #notations(note: TinyNote, inChord: number, event: TinyEvent, voice: TinyVoice, tiedFrom: boolean): void {
    const { marks } = event;
    const simple: string[] = [];
    if (tiedFrom) simple.push('<tied type="stop"/>');
    if (note.tied) simple.push('<tied type="start"/>');
    if (marks.has("ring")) simple.push('<tied type="let-ring"/>');
    if (eventBefore(voice, event)?.marks.has("slide")) simple.push('<slide type="stop" number="1"/>');
    if (marks.has("slide")) simple.push('<slide type="start" number="1"/>');
    if (marks.has("trill")) simple.push("<ornaments><trill-mark/></ornaments>");
    if (marks.has("tremolo")) simple.push('<ornaments><tremolo type="single">3</tremolo></ornaments>');
    if (marks.has("staccato")) simple.push("<articulations><staccato/></articulations>");
    if (marks.has("fermata") && inChord === 0) simple.push("<fermata/>");
    if (marks.has("roll")) simple.push("<arpeggiate/>");
    if (marks.has("struck") && inChord === 0) simple.push('<non-arpeggiate type="bottom"/>');
    else if (marks.has("struck") && inChord === event.notes.length - 1) {
      simple.push('<non-arpeggiate type="top"/>');
    }
    const technical = note.fingers.length > 0 || marks.has("harmonic");
    if (simple.length === 0 && !technical) return;
    this.#line(4, "<notations>");
    for (const line of simple) this.#line(5, line);
    if (technical) {
      this.#line(5, "<technical>");
      if (marks.has("harmonic")) this.#line(6, "<harmonic/>");
      for (const finger of note.fingers) this.#fingering(finger, voice);
      this.#line(5, "</technical>");
    }
    this.#line(4, "</notations>");
  }

  #fingering(finger: TinyFinger, voice: TinyVoice): void {
    const role = finger.role === "plain" ? "" : ` ${finger.role}="yes"`;
    const text = finger.text.replace(/&/g, "&amp;").replace(/</g, "&lt;");
    const usual = placementOf(voice);
    const placement = finger.otherSide ? (usual === "above" ? "below" : "above") : usual;
    this.#line(6, `<fingering placement="${placement}"${role}>${text}</fingering>`, finger);
  }

  #bracket(end: TinyBracketEnd, voice: TinyVoice, voiceName: string): void {
    const usual = placementOf(voice);
    const placement = end.otherSide ? (usual === "above" ? "below" : "above") : usual;
    const hook = placement === "above" ? "down" : "up";
    const number =
      end.number <= 4 ? bracketNumbers[voice.hand][end.number - 1 + 4 * voice.inHand] : undefined;
    if (number === undefined) throw new SyntaxError("too many brackets are open at once");
    this.#line(3, `<direction placement="${placement}">`);
    this.#line(4, "<direction-type>");
    this.#line(5, `<bracket type="${end.type}" number="${number}" line-end="${hook}"/>`, end);
    this.#line(4, "</direction-type>");
    this.#line(4, `<voice>${voiceName}</voice>`);
    this.#staff(4, voice);
    this.#line(3, "</direction>");
  }

  #words(words: TinyWords, voice: TinyVoice, voiceName: string): void {
    const text = words.text.replace(/&/g, "&amp;");
    this.#line(3, `<direction placement="${placementOf(voice)}">`);
    this.#line(4, "<direction-type>");
    this.#line(5, `<words>${text}</words>`, words);
    this.#line(4, "</direction-type>");
    this.#line(4, `<voice>${voiceName}</voice>`);
    this.#staff(4, voice);
    this.#line(3, "</direction>");
  }

  #staff(depth: number, voice: TinyVoice): void {
    if (this.#twoStaves) this.#line(depth, `<staff>${this.#staffOf(voice.hand)}</staff>`);
  }

  #staffOf(hand: "right" | "left"): number {
    return this.#twoStaves && hand === "left" ? 2 : 1;
  }

  /** True when the event before holds a tie to this note. */
  #tiedFrom(note: TinyNote, event: TinyEvent, voice: TinyVoice): boolean {
    return (
      eventBefore(voice, event)?.notes.some(
        (other) =>
          other.tied &&
          other.step === note.step &&
          other.alter === note.alter &&
          other.octave === note.octave,
      ) ?? false
    );
  }

  #line(depth: number, content: string, marked?: Markable): void {
    const start = this.#text.length + 2 * depth;
    for (let i = 0; i < (marked?.marks ?? 0); i += 1) {
      this.#marks.push({ start, end: start + content.length });
    }
    this.#text += `${"  ".repeat(depth)}${content}\n`;
  }
}

/**
 * Four for a hand's first voice, four for its second. The hands share none, because a bracket may be open over a
 * barline while the other staff follows.
 */
const bracketNumbers: Readonly<Record<"right" | "left", readonly number[]>> = {
  right: [1, 2, 5, 6, 9, 10, 13, 14],
  left: [3, 4, 7, 8, 11, 12, 15, 16],
};

const noteTypes: Readonly<Record<number, string>> = {
  4: "whole",
  3: "half.",
  2: "half",
  1.5: "quarter.",
  1: "quarter",
  0.75: "eighth.",
  0.5: "eighth",
  0.25: "16th",
  0.125: "32nd",
};

function placementOf(voice: TinyVoice): "above" | "below" {
  return voice.hand === "right" ? "above" : "below";
}

function eventBefore(voice: TinyVoice, event: TinyEvent): TinyEvent | undefined {
  const events = voice.bars.flatMap((bar) => bar.events);
  return events[events.indexOf(event) - 1];
}

function ticks(quarters: Rational): number {
  const count = rational(quarters.n * divisions, quarters.d);
  if (count.d !== 1) throw new SyntaxError(`${toNumber(quarters)} quarters cannot be written exactly`);
  return count.n;
}
