import type { HandLine, LineEvent } from "../score/handLines.ts";
import type { Score } from "../score/model.ts";
import { compare, format, type Rational, subtract } from "../score/rational.ts";

/**
 * The hands' lines as texts to search in, one hand after the other. Position p is an event; number p of a text says
 * how event p goes on to event p + 1, so that k numbers alike mean k + 1 events alike. Where playing never goes on
 * from an event to the next in print, the number is like no other.
 */
export interface PassageTexts {
  readonly lines: readonly HandLine[];
  readonly size: number;
  /** Per position. */
  readonly lineOf: Int32Array;
  readonly events: readonly LineEvent[];
  /** starts[h]: the position of the first event of lines[h]. */
  readonly starts: readonly number[];
  /** Chords, steps and times alike, on the same strings and in the same hand. */
  readonly exact: Int32Array;
  /** Chords, steps and times alike, on any strings. */
  readonly shape: Int32Array;
  /** Chords and steps alike, at any times. */
  readonly steps: Int32Array;
  /** True where the number is like no other. */
  readonly breaks: Uint8Array;
  /** The chord on its strings and how it is played; alike for equal ones. */
  readonly chord: Int32Array;
  /** The chord's shape and how it is played, on any strings. */
  readonly form: Int32Array;
  /** Lowest string. */
  readonly lowest: Int32Array;
  /** Time to the next event; alike for equal times. */
  readonly wait: Int32Array;
  readonly waitQuarters: Float64Array;
  /** The measure's index. */
  readonly bar: Int32Array;
  /** The place in its measure; alike for equal places. */
  readonly beat: Int32Array;
  /** True for the first event of a measure. */
  readonly opensBar: Uint8Array;
  /** How many measures of its line have an event, by line. */
  readonly barCount: readonly number[];
}

/** Numbers things by what they are. */
class Names {
  readonly #known = new Map<string, number>();
  #next = 0;

  of(name: string): number {
    const known = this.#known.get(name);
    if (known !== undefined) return known;
    this.#known.set(name, this.#next);
    return this.#next++;
  }

  /** A number that nothing else has. */
  fresh(): number {
    return this.#next++;
  }
}

/** Writes the hands' lines as texts. Time and memory O(notes). */
export function passageTexts(lines: readonly HandLine[], score: Score): PassageTexts {
  const events = lines.flatMap((line) => line.events);
  const size = events.length;
  const ints = (): Int32Array => new Int32Array(size);
  const texts = {
    lines,
    size,
    events,
    lineOf: ints(),
    starts: [] as number[],
    exact: ints(),
    shape: ints(),
    steps: ints(),
    breaks: new Uint8Array(size),
    chord: ints(),
    form: ints(),
    lowest: ints(),
    wait: ints(),
    waitQuarters: new Float64Array(size),
    bar: ints(),
    beat: ints(),
    opensBar: new Uint8Array(size),
    barCount: [] as number[],
  };
  const names = {
    exact: new Names(),
    shape: new Names(),
    steps: new Names(),
    chord: new Names(),
    wait: new Names(),
    beat: new Names(),
    form: new Names(),
  };
  const stops = barsNotLeft(score);
  let position = 0;
  for (const [index, line] of lines.entries()) {
    texts.starts.push(position);
    let bars = 0;
    line.events.forEach((event, i) => {
      const at = position + i;
      const main = event.notes[0]!.note;
      const manner = mannerOf(event);
      const strings = event.notes.map((entry) => entry.string);
      const lowest = strings[0]!;
      texts.lineOf[at] = index;
      texts.lowest[at] = lowest;
      texts.chord[at] = names.chord.of(`${strings.join(" ")} ${manner}`);
      texts.form[at] = names.form.of(`${strings.map((string) => string - lowest).join(" ")} ${manner}`);
      texts.bar[at] = main.measure.index;
      texts.beat[at] = names.beat.of(format(main.position));
      texts.opensBar[at] = i === 0 || texts.bar[at - 1] !== main.measure.index ? 1 : 0;
      bars += texts.opensBar[at]!;
    });
    texts.barCount.push(bars);
    for (let i = 0; i < line.events.length; i += 1) {
      const at = position + i;
      const next = line.events[i + 1];
      if (!next || stopsBetween(stops, texts.bar[at]!, texts.bar[at + 1]!)) {
        texts.breaks[at] = 1;
        texts.exact[at] = names.exact.fresh();
        texts.shape[at] = names.shape.fresh();
        texts.steps[at] = names.steps.fresh();
        texts.wait[at] = names.wait.fresh();
        continue;
      }
      const wait = subtract(next.onset, line.events[i]!.onset);
      texts.wait[at] = names.wait.of(format(wait));
      texts.waitQuarters[at] = wait.n / wait.d;
      const step = texts.lowest[at + 1]! - texts.lowest[at]!;
      texts.steps[at] = names.steps.of(`${texts.form[at]} ${step} ${texts.form[at + 1]}`);
      texts.shape[at] = names.shape.of(`${texts.steps[at]} ${texts.wait[at]}`);
      texts.exact[at] = names.exact.of(`${texts.shape[at]} ${texts.lowest[at]} ${index}`);
    }
    position += line.events.length;
  }
  return texts;
}

/**
 * What makes the same strings another thing to play: grace notes, harmonics, slides, tremolos, trills. A rest or a
 * staccato does not: the fingers are the same.
 */
export function mannerOf(event: LineEvent): string {
  let [harmonic, slide, shake] = ["", "", ""];
  for (const { note } of event.notes) {
    const { marks } = note;
    if (marks.harmonic) harmonic = "harmonic";
    if (marks.slideStart || marks.slideStop) slide = "slide";
    if (marks.tremolo !== undefined || marks.trill) shake = "shake";
  }
  return (event.grace ? "grace" : "") + harmonic + slide + shake;
}

/**
 * Measures that playing never leaves for the next one in print: after an ending with a repeat sign, the next pass
 * goes back and on to another ending; after D.C. or D.S. it goes elsewhere.
 */
export function barsNotLeft(score: Score): number[] {
  const ends = new Set(score.jumps.filter((jump) => jump.kind === "ending-stop").map((jump) => jump.measure));
  return score.jumps
    .filter(
      (jump) =>
        (jump.kind === "repeat-end" && ends.has(jump.measure)) ||
        jump.kind === "da-capo" ||
        jump.kind === "dal-segno",
    )
    .map((jump) => jump.measure)
    .sort((a, b) => a - b);
}

/** True when one of the sorted measures lies from `bar` up to, but not at, `next`. */
function stopsBetween(stops: readonly number[], bar: number, next: number): boolean {
  if (bar === next) return false;
  let low = 0;
  let high = stops.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (stops[middle]! < bar) low = middle + 1;
    else high = middle;
  }
  return low < stops.length && stops[low]! < next;
}

/** Compares two positions by when they sound, the right hand first. */
export function inTimeOrder(texts: PassageTexts, a: number, b: number): number {
  const when = (position: number): Rational => texts.events[position]!.onset;
  return compare(when(a), when(b)) || a - b;
}
