import type { Jump, Score } from "./model.ts";

/** The order in which the measures of a score are played. */
export interface PlayedOrder {
  /** Indices of measures, from 0, as they follow each other in playing. */
  readonly measures: readonly number[];
  /** Each way of going on to another measure than the next one in print, once. */
  readonly jumps: readonly PlayedJump[];
  /** False when the limit was reached before the end. */
  readonly complete: boolean;
}

/** In some playing of it, measure `to` follows measure `from`. */
export interface PlayedJump {
  readonly from: number;
  readonly to: number;
}

/** Repeats of repeats grow quickly; no piece is as long as this. */
const mostMeasures = 20_000;

/**
 * Plays a score's repeats, endings, D.C., D.S., codas and fine.
 *
 * - A repeat goes back to the sign that opened it, or to the beginning or to the end of the repeat before. Repeats may
 *   be nested. A sign that opens one and is never answered means nothing.
 * - Endings are for the passes that they name; unnamed ones count on from 1. After the last pass comes what follows
 *   the last ending.
 * - D.C. and D.S. are followed once each. After one, repeats are not taken again, the last ending is played, and To
 *   Coda and Fine count.
 *
 * Source for the signs: MusicXML 4.0, elements repeat, ending, sound. Source for nested and unfinished repeats:
 * LilyPond's MusicXML regression tests 45a to 45g. That repeats are left out after D.C. and D.S.: common practice, no
 * source.
 */
export function playedOrder(score: Pick<Score, "jumps" | "measureStarts">, most = mostMeasures): PlayedOrder {
  return new Player(score.measureStarts.length, score.jumps, most).play();
}

/** What the barlines and directions of one measure say. */
interface Signs {
  repeatStart?: boolean;
  /** How often the repeat that ends here is played in all. */
  repeatEnd?: number;
  ending?: Ending;
  /** Labels of the segno and coda signs that stand here. */
  segno?: string[];
  coda?: string[];
  daCapo?: boolean;
  dalSegno?: string;
  toCoda?: string;
  fine?: boolean;
}

interface Ending {
  readonly first: number;
  last: number;
  passes: ReadonlySet<number>;
  group: EndingGroup;
}

/** First, second, … ending of one repeat. */
interface EndingGroup {
  readonly endings: Ending[];
  /** The highest pass that one of them is for. */
  lastPass: number;
}

/** A repeat that is being played. */
interface Section {
  readonly start: number;
  pass: number;
  /** The endings that belong to it, once the first of them was met. */
  group?: EndingGroup;
  /** The measure whose sign led back, once it did. */
  sign?: number;
}

class Player {
  readonly #signs = new Map<number, Signs>();
  readonly #count: number;
  readonly #most: number;
  readonly #endings: Ending[];
  /** Measures with these signs, in order. */
  readonly #places: { readonly segno: number[]; readonly coda: number[] };
  /** The innermost is the last. The first is the piece itself, or what follows its last repeat. */
  #sections: Section[] = [{ start: 0, pass: 1 }];
  #afterJump = false;
  readonly #taken = new Set<number>();

  constructor(count: number, jumps: readonly Jump[], most: number) {
    this.#count = count;
    this.#most = most;
    for (const jump of jumps) this.#read(jump);
    this.#endings = readEndings(jumps, this.#signs, count);
    for (const ending of this.#endings) this.#at(ending.first).ending = ending;
    const places = (sign: "segno" | "coda"): number[] =>
      [...this.#signs].filter(([, signs]) => signs[sign]).map(([measure]) => measure);
    this.#places = {
      segno: places("segno").sort((a, b) => a - b),
      coda: places("coda").sort((a, b) => a - b),
    };
    this.#readTwoCodaSigns();
  }

  /** Of two coda signs without words the first is where the coda is jumped to from. */
  #readTwoCodaSigns(): void {
    const [first, second] = this.#places.coda;
    if (first === undefined || second === undefined) return;
    for (const { toCoda } of this.#signs.values()) if (toCoda !== undefined) return;
    this.#at(first).toCoda = "";
    this.#places.coda.shift();
  }

  #at(measure: number): Signs {
    let signs = this.#signs.get(measure);
    if (!signs) {
      signs = {};
      this.#signs.set(measure, signs);
    }
    return signs;
  }

  #read({ kind, measure, side, times, label = "" }: Jump): void {
    const signs = this.#at(measure);
    switch (kind) {
      case "repeat-start":
        // At the end of a measure the sign belongs to the next one.
        this.#at(side === "end" ? measure + 1 : measure).repeatStart = true;
        break;
      case "repeat-end":
        if (side === "start" && measure > 0) this.#at(measure - 1).repeatEnd = times ?? 2;
        else if (side === "end") signs.repeatEnd = times ?? 2;
        break;
      case "segno":
        signs.segno = [...(signs.segno ?? []), label];
        break;
      case "coda":
        signs.coda = [...(signs.coda ?? []), label];
        break;
      case "da-capo":
        signs.daCapo = true;
        break;
      case "dal-segno":
        signs.dalSegno = label;
        break;
      case "to-coda":
        signs.toCoda = label;
        break;
      case "fine":
        signs.fine = true;
        break;
    }
  }

  play(): PlayedOrder {
    const measures: number[] = [];
    const jumps = new Map<string, PlayedJump>();
    let at: number | undefined = this.#enter(0);
    while (at !== undefined && measures.length < this.#most) {
      measures.push(at);
      const next: number | undefined = this.#leave(at);
      const to: number | undefined = next === undefined ? undefined : this.#enter(next);
      if (to !== undefined && to !== at + 1) jumps.set(`${at} ${to}`, { from: at, to });
      at = to;
    }
    return { measures, jumps: [...jumps.values()], complete: at === undefined };
  }

  /** The measure that is played when playing comes to this one: endings for other passes are passed over. */
  #enter(measure: number): number | undefined {
    let at = measure;
    while (at < this.#count) {
      this.#leaveSectionsBefore(at);
      const { ending, repeatStart } = this.#signs.get(at) ?? {};
      const beginsGroup = ending !== undefined && ending.group.endings[0] === ending;
      // A repeat that opens where a second ending begins has nothing to do with that ending.
      if (repeatStart && (!ending || beginsGroup)) this.#openSection(at);
      if (ending && this.#isPassedOver(ending)) {
        at = ending.last + 1;
        continue;
      }
      if (repeatStart) this.#openSection(at);
      return at;
    }
    return undefined;
  }

  #openSection(at: number): void {
    if (this.#section.start !== at) this.#sections.push({ start: at, pass: 1 });
  }

  /** True for an ending of the repeat that is being played that is for other passes. */
  #isPassedOver(ending: Ending): boolean {
    const section = this.#section;
    if (section.start > ending.group.endings[0]!.first) return false;
    section.group ??= ending.group;
    if (section.group !== ending.group) return false;
    return !ending.passes.has(this.#afterJump ? ending.group.lastPass : section.pass);
  }

  get #section(): Section {
    return this.#sections[this.#sections.length - 1]!;
  }

  /** Repeats whose last ending lies behind are over. */
  #leaveSectionsBefore(measure: number): void {
    for (;;) {
      const { group, pass, sign = 0 } = this.#section;
      if (!group || measure <= Math.max(lastMeasure(group), sign)) return;
      // Before the last pass the sign that leads back is still to come.
      if (pass < group.lastPass && !this.#afterJump) return;
      this.#finishSection(measure);
    }
  }

  #finishSection(next: number): void {
    this.#sections.pop();
    if (this.#sections.length === 0) this.#sections.push({ start: next, pass: 1 });
  }

  /** Where playing goes on after a measure; undefined at the end. */
  #leave(measure: number): number | undefined {
    const signs = this.#signs.get(measure) ?? {};
    if (signs.repeatEnd !== undefined) {
      const back = this.#repeat(signs.repeatEnd, measure);
      if (back !== undefined) return back;
    }
    if (this.#afterJump) {
      if (signs.fine) return undefined;
      const coda = signs.toCoda === undefined ? undefined : this.#find("coda", signs.toCoda, measure);
      if (coda !== undefined) return this.#jumpTo(coda);
    }
    if (!this.#taken.has(measure)) {
      const target = signs.daCapo
        ? 0
        : signs.dalSegno !== undefined
          ? this.#find("segno", signs.dalSegno, measure)
          : undefined;
      if (target !== undefined) {
        this.#taken.add(measure);
        this.#afterJump = true;
        return this.#jumpTo(target);
      }
    }
    return this.#afterLastEnding(measure);
  }

  /** After the last pass a repeat's ending may not be the last in print. */
  #afterLastEnding(measure: number): number {
    const { group, pass } = this.#section;
    const ending = group?.endings.find((candidate) => candidate.last === measure);
    if (!group || !ending || this.#afterJump || pass < group.lastPass) return measure + 1;
    return lastMeasure(group) + 1;
  }

  #repeat(times: number, measure: number): number | undefined {
    const section = this.#section;
    const { group } = section;
    const limit = group ? Math.max(2, group.lastPass) : times;
    if (!this.#afterJump && section.pass < limit) {
      section.pass += 1;
      section.sign = Math.max(section.sign ?? 0, measure);
      return section.start;
    }
    if (!group) this.#finishSection(measure + 1);
    return undefined;
  }

  #jumpTo(measure: number): number {
    this.#sections = [{ start: measure, pass: 1 }];
    return measure;
  }

  /** The sign that a jump means: the one of its name, else for a segno the last before it, for a coda the next. */
  #find(sign: "segno" | "coda", label: string, from: number): number | undefined {
    const places = this.#places[sign];
    const named = places.find((place) => label !== "" && this.#signs.get(place)![sign]!.includes(label));
    if (named !== undefined) return named;
    if (sign === "segno") return places.findLast((place) => place <= from) ?? places[0];
    return places.find((place) => place > from);
  }
}

function lastMeasure({ endings }: EndingGroup): number {
  return endings[endings.length - 1]!.last;
}

/** The endings in order, with the passes of those that do not name any, grouped by the repeat that they belong to. */
function readEndings(jumps: readonly Jump[], signs: ReadonlyMap<number, Signs>, count: number): Ending[] {
  const starts = jumps.filter(({ kind }) => kind === "ending-start");
  const stops = jumps.filter(({ kind }) => kind === "ending-stop");
  const endings: Ending[] = [];
  let stopAt = 0;
  starts.forEach(({ measure: first, passes }, i) => {
    const next = starts[i + 1]?.measure ?? count;
    while (stopAt < stops.length && stops[stopAt]!.measure < first) stopAt += 1;
    const stop = stops[stopAt]?.measure;
    const last = stop !== undefined && stop < next ? stop : first;
    const before = endings[endings.length - 1];
    const named = passes !== undefined && passes.length > 0;
    const goesOn =
      before !== undefined &&
      !opensBetween(signs, before.first, first) &&
      (named ? !startsAnew(before.group, passes) : before.last + 1 === first);
    const group: EndingGroup = goesOn ? before.group : { endings: [], lastPass: 0 };
    const own = new Set(named ? passes : [group.lastPass + 1]);
    const ending: Ending = { first, last, passes: own, group };
    group.endings.push(ending);
    for (const pass of own) group.lastPass = Math.max(group.lastPass, pass);
    endings.push(ending);
  });
  return endings;
}

/** A repeat is opened after `from` and before `to`: what comes then belongs to that repeat. */
function opensBetween(signs: ReadonlyMap<number, Signs>, from: number, to: number): boolean {
  for (let measure = from + 1; measure < to; measure += 1) if (signs.get(measure)?.repeatStart) return true;
  return false;
}

/** A first ending after a first ending is another repeat's. */
function startsAnew(group: EndingGroup, passes: readonly number[]): boolean {
  return passes.includes(1) && group.endings.some((ending) => ending.passes.has(1));
}
