import type { PanelChange, PanelNews, PanelNote, PanelScore } from "../../../shared/protocol/panel.ts";
import type { PageHost } from "./host.ts";
import {
  type BarRange,
  initialState,
  type PanelState,
  type Remembered,
  recalled,
  tempos,
  zooms,
} from "./panelState.ts";
import { Plucker } from "./plucker.ts";
import { ScoreIndex } from "./scoreIndex.ts";
import { Store } from "./store.ts";

/** How long a note must stay selected before its details are asked for, in milliseconds. */
const restMs = 160;
/** Sounds are handed to the sound card this long before they are due, in microseconds of real time. */
const soundAheadMicros = 120_000;

/** Everything that can be done in the panel. Views show its state and call its methods. */
export class Panel {
  readonly store = new Store<PanelState>(initialState);
  /** Where the score was last scrolled to; the score view keeps it up to date and goes there when it is drawn. */
  scroll: Remembered["scroll"];
  readonly #host: PageHost;
  readonly #plucker = new Plucker();
  #reading = false;
  #readAgain = false;
  #cursor: { version: number; offset: number } | undefined;
  #restTimer: ReturnType<typeof setTimeout> | undefined;
  #frame: { at: number; soundedMicros: number } | undefined;

  constructor(host: PageHost) {
    this.#host = host;
  }

  get state(): PanelState {
    return this.store.state;
  }

  async start(): Promise<void> {
    const { scroll, ...kept } = recalled(this.#host.recall());
    this.scroll = scroll;
    this.store.change(kept);
    this.store.subscribe(() => this.#remember());
    this.#host.listen((news) => this.#hear(news));
    await this.#listScores();
  }

  /** Keeps the place over hiding and reloading. */
  remember(scroll: Remembered["scroll"]): void {
    this.scroll = scroll;
    this.#remember();
  }

  #remember(): void {
    const {
      uri,
      view,
      zoom,
      theme,
      showsProposal,
      selected,
      passage,
      tempoPercent,
      sounds,
      timeMicros,
      playing,
    } = this.state;
    if (playing) return;
    const kept: Remembered = {
      ...{ uri, view, zoom, theme, showsProposal, selected, passage, tempoPercent, sounds, timeMicros },
      scroll: this.scroll,
    };
    this.#host.remember(kept);
  }

  #hear(news: PanelNews): void {
    switch (news.kind) {
      case "changed":
        if (news.uri === this.state.uri) void this.#read();
        break;
      case "scores":
        void this.#listScores();
        break;
      case "show":
        this.open(news.uri);
        break;
      case "cursor":
        if (news.uri !== this.state.uri) break;
        this.#cursor = news;
        this.#followCursor();
        break;
    }
  }

  async #listScores(): Promise<void> {
    try {
      const scores = await this.#host.ask("scores", {});
      this.store.change({ scores });
      const { uri } = this.state;
      const known = scores.some((score) => score.uri === uri);
      if (uri !== undefined && known) await this.#read();
      else if (scores[0]) this.open(scores[0].uri);
      else this.store.change({ waiting: false });
    } catch (error) {
      this.#refused(error);
    }
  }

  /** Shows another score. */
  open(uri: string): void {
    const again = uri === this.state.uri && this.state.shown !== undefined;
    if (again) return;
    const first = this.state.shown === undefined;
    this.stop();
    if (!first || uri !== this.state.uri) {
      this.scroll = first && uri === this.state.uri ? this.scroll : undefined;
      this.store.change({
        uri,
        shown: undefined,
        trouble: undefined,
        waiting: true,
        selected: undefined,
        bars: undefined,
        passage: undefined,
        answers: undefined,
        timeMicros: 0,
        notice: undefined,
      });
    }
    void this.#read();
  }

  /** Reads the score again; one reading at a time, the last change always read. */
  async #read(): Promise<void> {
    if (this.#reading) {
      this.#readAgain = true;
      return;
    }
    this.#reading = true;
    try {
      do {
        this.#readAgain = false;
        const { uri } = this.state;
        if (uri === undefined) break;
        const { version, reading } = await this.#host.ask("read", { uri });
        if (uri !== this.state.uri) this.#readAgain = true;
        else if (reading.state === "score") this.#show(version, reading);
        else {
          const since = this.state.trouble?.since ?? Date.now();
          this.store.change({
            trouble: { version, broken: reading, since },
            waiting: false,
            changing: false,
          });
        }
      } while (this.#readAgain);
    } catch (error) {
      this.store.change({ waiting: false });
      this.#refused(error);
    } finally {
      this.#reading = false;
    }
  }

  #show(version: number, score: PanelScore): void {
    const before = this.state.shown;
    const index = new ScoreIndex(score);
    const was = before?.index.note(this.state.selected);
    const selected = was ? index.sameNote(was)?.id : index.note(this.state.selected)?.id;
    const { passage } = this.state;
    this.store.change({
      shown: { version, score, index, readAt: Date.now() },
      // With other settings the answers about a note of the same text may be others.
      answers: before?.version === version ? undefined : this.state.answers,
      trouble: undefined,
      waiting: false,
      selected,
      bars: withinBars(this.state.bars, score.measures.length),
      passage: passage !== undefined && score.repeats.passages[passage] ? passage : undefined,
      timeMicros: Math.min(this.state.timeMicros, score.endMicros),
    });
    this.#followCursor();
    this.#askDetails();
  }

  #followCursor(): void {
    const { shown } = this.state;
    if (!this.#cursor || this.#cursor.version !== shown?.version) return;
    const note = shown.index.noteAtOffset(this.#cursor.offset);
    this.#cursor = undefined;
    if (note && note.id !== this.state.selected) this.select(note.id, { reveal: false });
  }

  /** Selects a note. @param reveal also shows it in the text. */
  select(id: string | undefined, { reveal = true, extend = false } = {}): void {
    const { shown, bars } = this.state;
    const note = shown?.index.note(id);
    if (!shown || !note) {
      this.store.change({ selected: undefined, answers: undefined });
      return;
    }
    const place = shown.index.eventOf(note);
    const anchor = bars ?? { first: note.measure, last: note.measure };
    this.store.change({
      selected: note.id,
      bars: extend
        ? { first: Math.min(anchor.first, note.measure), last: Math.max(anchor.last, note.measure) }
        : { first: note.measure, last: note.measure },
      ...(place && !this.state.playing ? { timeMicros: place.hand.events[place.event]!.atMicros } : {}),
    });
    if (reveal) this.#reveal(note, false);
    this.#askDetails();
  }

  /** Opens the text at the selected note. */
  openText(): void {
    const note = this.state.shown?.index.note(this.state.selected);
    if (note) this.#reveal(note, true);
  }

  /** Opens the text where it cannot be read. */
  openTrouble(): void {
    const { trouble, uri } = this.state;
    if (!trouble || uri === undefined) return;
    const { version, broken } = trouble;
    this.#host
      .ask("reveal", { uri, version, span: broken.span, focus: true })
      .catch((error) => this.#refused(error));
  }

  #reveal(note: PanelNote, focus: boolean): void {
    const { shown, uri } = this.state;
    if (!shown || uri === undefined) return;
    this.#host
      .ask("reveal", { uri, version: shown.version, span: note.span, focus })
      .catch((error) => this.#refused(error));
  }

  #askDetails(): void {
    clearTimeout(this.#restTimer);
    const { selected, shown, answers } = this.state;
    if (selected === undefined || !shown) return;
    if (answers?.note === selected && answers.version === shown.version) return;
    this.#restTimer = setTimeout(() => void this.#ask(), restMs);
  }

  async #ask(): Promise<void> {
    const { selected: note, shown, uri, playing } = this.state;
    if (note === undefined || !shown || uri === undefined || playing) return;
    const { version } = shown;
    const wanted = (): boolean => this.state.selected === note && this.state.shown?.version === version;
    try {
      const details = await this.#host.ask("note", { uri, version, note });
      if (!wanted()) return;
      this.store.change({ answers: { version, note, details, ways: undefined } });
      const ways = details.from === undefined ? [] : await this.#host.ask("ways", { uri, version, note });
      if (wanted()) this.store.change({ answers: { version, note, details, ways } });
    } catch (error) {
      // A newer text is on its way: its own questions follow.
      if (wanted() && !this.#readAgain && !this.#reading) this.#refused(error);
    }
  }

  /** Asks for a change of the score. What comes of it is said in a notice. */
  async change(change: PanelChange): Promise<void> {
    const { shown, uri, trouble } = this.state;
    if (!shown || uri === undefined || this.state.changing) return;
    if (trouble) {
      this.#refused(new Error("The text cannot be read just now, so nothing is changed. Repair it first."));
      return;
    }
    this.store.change({ changing: true, notice: undefined });
    try {
      const { edits, label } = await this.#host.ask("change", { uri, version: shown.version, change });
      const text =
        change.kind === "accept"
          ? `${label}: noted beside the score.`
          : edits === 0
            ? `${label}: there is nothing to change.`
            : `${label}: ${edits === 1 ? "1 place" : `${edits} places`} changed.`;
      // The text is as it was, so that nobody tells of a change.
      if (change.kind === "accept") await this.#read();
      this.store.change({ notice: { kind: "done", text } });
    } catch (error) {
      this.#refused(error);
    } finally {
      this.store.change({ changing: false });
    }
  }

  #refused(error: unknown): void {
    this.store.change({
      notice: { kind: "refused", text: error instanceof Error ? error.message : String(error) },
    });
  }

  dismissNotice(): void {
    this.store.change({ notice: undefined });
  }

  zoom(by: 1 | -1): void {
    const at = zooms.indexOf(this.state.zoom as (typeof zooms)[number]);
    const zoom = zooms[Math.max(0, Math.min(zooms.length - 1, at + by))]!;
    this.store.change({ zoom });
  }

  tempo(by: 1 | -1): void {
    const at = tempos.indexOf(this.state.tempoPercent as (typeof tempos)[number]);
    const tempoPercent = tempos[Math.max(0, Math.min(tempos.length - 1, at + by))]!;
    this.store.change({ tempoPercent });
  }

  markBars(bars: BarRange | undefined): void {
    this.store.change({ bars });
  }

  /** Goes to the next finding after the selected note, or the one before it, round the end. */
  stepFinding(by: 1 | -1): void {
    const { shown, selected } = this.state;
    if (!shown) return;
    const { index, score } = shown;
    const order = new Map(score.notes.map((note, i) => [note.id, note.measure * 1e6 + i]));
    const marked = [...new Set(score.findings.flatMap(({ notes }) => notes.slice(0, 1)))].sort(
      (a, b) => order.get(a)! - order.get(b)!,
    );
    if (marked.length === 0) return;
    const here = index.note(selected) ? order.get(selected!)! : -1;
    const next =
      by === 1
        ? (marked.find((id) => order.get(id)! > here) ?? marked[0])
        : (marked.findLast((id) => order.get(id)! < here) ?? marked.at(-1));
    this.select(next);
  }

  /** To the next or previous event of the selected note's hand. */
  stepInHand(by: 1 | -1, extend = false): void {
    const place = this.#selectedPlace();
    if (!place) {
      this.#selectAt(this.state.timeMicros, undefined);
      return;
    }
    const next = place.hand.events[place.event + by];
    if (next) this.select(next.notes.at(-1)!.note, { extend });
  }

  /** Up to a higher note of the chord, then to the right hand; down to a lower one, then to the left. */
  stepAcross(by: 1 | -1): void {
    const place = this.#selectedPlace();
    const { shown, selected } = this.state;
    if (!shown) return;
    if (!place) {
      this.#selectAt(this.state.timeMicros, undefined);
      return;
    }
    const { notes, atMicros } = place.hand.events[place.event]!;
    const inChord = notes[notes.findIndex(({ note }) => note === selected) + by];
    if (inChord) {
      this.select(inChord.note);
      return;
    }
    const other = shown.index.hand(by === 1 ? "right" : "left");
    if (!other || other === place.hand) return;
    const event = other.events[Math.max(0, shown.index.lastEventAt(other, atMicros))];
    if (event) this.select(event.notes.at(by === 1 ? 0 : -1)!.note);
  }

  stepToEnd(by: 1 | -1): void {
    const hand = this.#selectedPlace()?.hand ?? this.state.shown?.score.hands[0];
    const event = by === 1 ? hand?.events.at(-1) : hand?.events[0];
    if (event) this.select(event.notes.at(-1)!.note);
  }

  #selectedPlace() {
    const { shown, selected } = this.state;
    const note = shown?.index.note(selected);
    return note && shown?.index.eventOf(note);
  }

  /** Moves to the next or previous instant at which something is plucked, or at which a placing begins. */
  step(by: 1 | -1, unit: "event" | "placing"): void {
    const { shown, timeMicros } = this.state;
    if (!shown) return;
    this.stop();
    const { instants, placingStarts } = shown.index;
    const times = unit === "event" ? instants : placingStarts;
    const next =
      by === 1
        ? times.find((micros) => micros > timeMicros)
        : times.findLast((micros) => micros < timeMicros);
    if (next !== undefined) this.goTo(next);
  }

  /** Moves the music to the first thing that is plucked in a measure or after it. */
  goToMeasure(measure: number): void {
    const { shown } = this.state;
    this.stop();
    const times = shown?.score.hands.flatMap(
      ({ events }) => events.find((event) => event.measure >= measure)?.atMicros ?? [],
    );
    if (times && times.length > 0) this.goTo(Math.min(...times));
  }

  /** Moves the music to a time and selects what is plucked there. */
  goTo(micros: number): void {
    this.store.change({ timeMicros: micros });
    this.#selectAt(micros, this.#selectedPlace()?.hand.hand);
    if (this.state.sounds) this.#soundInstant(micros);
  }

  #selectAt(micros: number, hand: "right" | "left" | undefined): void {
    const { shown } = this.state;
    if (!shown) return;
    const found = shown.score.hands
      .map((each) => ({ each, event: each.events[shown.index.lastEventAt(each, micros)] }))
      .filter(({ event }) => event !== undefined)
      .sort(
        (a, b) =>
          b.event!.atMicros - a.event!.atMicros ||
          Number(b.each.hand === hand) - Number(a.each.hand === hand),
      );
    const event = found[0]?.event ?? shown.score.hands[0]?.events[0];
    if (event) this.select(event.notes.at(-1)!.note);
    this.store.change({ timeMicros: micros });
  }

  playOrPause(): void {
    if (this.state.playing) this.stop();
    else this.play();
  }

  play(): void {
    const { shown } = this.state;
    if (!shown || shown.index.instants.length === 0) return;
    const atEnd = this.state.timeMicros >= shown.score.endMicros;
    const timeMicros = atEnd ? 0 : this.state.timeMicros;
    this.store.change({ playing: true, timeMicros });
    if (this.state.sounds) this.#plucker.open();
    this.#frame = { at: performance.now(), soundedMicros: timeMicros - 1 };
    requestAnimationFrame((now) => this.#advance(now));
  }

  stop(): void {
    if (!this.state.playing) return;
    this.#frame = undefined;
    this.#plucker.quiet();
    this.store.change({ playing: false });
    this.#selectAt(this.state.timeMicros, this.#selectedPlace()?.hand.hand);
  }

  setSounds(sounds: boolean): void {
    this.store.change({ sounds });
    if (sounds) this.#plucker.open();
    else this.#plucker.quiet();
  }

  #advance(now: number): void {
    const frame = this.#frame;
    const { shown, tempoPercent, sounds } = this.state;
    if (!frame || !shown) return;
    const speed = tempoPercent / 100;
    const timeMicros = this.state.timeMicros + (now - frame.at) * 1000 * speed;
    frame.at = now;
    if (sounds) {
      const until = timeMicros + soundAheadMicros * speed;
      for (const hand of shown.score.hands) {
        for (const { atMicros, notes } of hand.events) {
          if (atMicros <= frame.soundedMicros || atMicros > until) continue;
          for (const { midi } of notes)
            this.#plucker.pluck(midi, Math.max(0, atMicros - timeMicros) / speed / 1e6);
        }
      }
      frame.soundedMicros = until;
    }
    this.store.change({ timeMicros: Math.min(timeMicros, shown.score.endMicros) });
    if (timeMicros >= shown.score.endMicros) this.stop();
    else requestAnimationFrame((next) => this.#advance(next));
  }

  #soundInstant(micros: number): void {
    this.#plucker.open();
    for (const hand of this.state.shown?.score.hands ?? []) {
      for (const event of hand.events)
        if (event.atMicros === micros) for (const { midi } of event.notes) this.#plucker.pluck(midi, 0);
    }
  }
}

function withinBars(bars: BarRange | undefined, count: number): BarRange | undefined {
  return bars && bars.first < count ? { first: bars.first, last: Math.min(bars.last, count - 1) } : undefined;
}
