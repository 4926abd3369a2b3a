/**
 * Invented two-hand scores in which passages come back as planned. The seed is the score's name: it comes out the same
 * on every machine.
 */
import { stringName } from "../../shared/score/pitch.ts";
import { Dice } from "../support/randomLines.ts";
import { tinyScore } from "../support/tinyScore.ts";

export type PlantKind = "exact" | "shifted" | "near" | "otherHand";

/** How a near return is changed. */
export type NearChange =
  | "other last note"
  | "one note changed"
  | "chord note an octave higher"
  | "grace note added"
  | "note left out"
  | "other rhythm"
  | "other pick-up";

export const nearChanges: readonly NearChange[] = [
  "other last note",
  "one note changed",
  "chord note an octave higher",
  "grace note added",
  "note left out",
  "other rhythm",
  "other pick-up",
];

interface Place {
  readonly hand: "right" | "left";
  /** Event of the hand. */
  readonly event: number;
}

/** A passage and where it comes back: pairs of events that stand for each other. */
export interface Plant {
  readonly kind: PlantKind;
  readonly change?: NearChange;
  readonly pairs: readonly (readonly [Place, Place])[];
}

/** What looks alike and is not: the passage upside down, backwards, or its rhythm on other steps. */
export interface Trap {
  readonly kind: "inverted" | "backwards" | "same rhythm only";
  readonly hand: "right" | "left";
  readonly first: number;
  readonly last: number;
}

export interface PlantedScore {
  readonly text: string;
  readonly plants: readonly Plant[];
  readonly traps: readonly Trap[];
}

/** Notes of one instant. Lengths in sixteenths; 0 for a grace note. */
interface Event {
  readonly strings: readonly number[];
  readonly sixteenths: number;
  /** The same for events that stand for each other. */
  readonly origin?: number;
}

type Bar = readonly Event[];

/** Rhythms of a bar of four quarters, in sixteenths. */
const rhythms: readonly (readonly number[])[] = [
  [4, 4, 4, 4],
  [2, 2, 4, 2, 2, 4],
  [2, 2, 2, 2, 4, 4],
  [6, 2, 4, 4],
  [4, 2, 2, 8],
  [2, 2, 2, 2, 2, 2, 2, 2],
  [6, 2, 6, 2],
  [8, 4, 4],
  [4, 4, 2, 2, 2, 2],
  [3, 1, 4, 3, 1, 4],
];

/** The score of a seed: every fourth has an exact return in the first place, every fourth a shifted one, and so on. */
export function plantedScore(seed: number): PlantedScore {
  return new Planter(seed).score();
}

class Planter {
  readonly #seed: number;
  readonly #dice: Dice;
  readonly #bars: { right: Bar[]; left: Bar[] } = { right: [], left: [] };
  readonly #plants: {
    kind: PlantKind;
    change?: NearChange;
    origins: ReadonlySet<number>;
    copies: number[];
  }[] = [];
  readonly #traps: { kind: Trap["kind"]; bars: [number, number] }[] = [];
  #nextOrigin = 1;
  #place = { right: 34, left: 18 };

  constructor(seed: number) {
    this.#seed = seed;
    this.#dice = new Dice(seed);
  }

  score(): PlantedScore {
    const kinds: readonly PlantKind[] = ["exact", "shifted", "near", "otherHand"];
    const first = kinds[this.#seed % kinds.length]!;
    const second = kinds[Math.floor(this.#seed / kinds.length) % kinds.length]!;
    this.#filler(2);
    this.#passage(first);
    this.#filler(2);
    this.#passage(second);
    this.#filler(2);
    return this.#finish();
  }

  /** A passage, its return, and a trap made from it, with other music between. */
  #passage(kind: PlantKind): void {
    const bars = this.#newBars("right", this.#dice.whole(2, 4)).map((bar) =>
      bar.map((event) => ({ ...event, origin: this.#nextOrigin++ })),
    );
    this.#add("right", bars);
    this.#filler(this.#dice.whole(1, 3));
    const change = this.#dice.oneOf(nearChanges);
    const origins = new Set(bars.flatMap((bar) => bar.map((event) => event.origin)));
    const plant = { kind, ...(kind === "near" ? { change } : {}), origins, copies: [] as number[] };
    if (kind === "exact") this.#add("right", bars);
    else if (kind === "shifted") this.#add("right", shifted(bars, this.#dice.oneOf([-3, -2, -1, 1, 2, 4])));
    else if (kind === "near") this.#add("right", this.#changed(bars, change));
    else this.#add("left", shifted(bars, this.#dice.oneOf([-14, -7, -9])));
    this.#plants.push(plant);
    this.#filler(this.#dice.whole(1, 2));
    const trap = this.#dice.oneOf(["inverted", "backwards", "same rhythm only"] as const);
    const at = this.#bars.right.length;
    this.#add("right", this.#trapped(bars, trap));
    this.#traps.push({ kind: trap, bars: [at, this.#bars.right.length - 1] });
  }

  #filler(count: number): void {
    this.#add("right", this.#newBars("right", count));
  }

  /** The other hand has a few notes of its own meanwhile. */
  #add(hand: "right" | "left", bars: readonly Bar[]): void {
    const other = hand === "right" ? "left" : "right";
    this.#bars[hand].push(...bars);
    this.#bars[other].push(
      ...this.#newBars(other, bars.length, [[8, 8], [16], [4, 4, 8], [8, 4, 4], [12, 4]]),
    );
  }

  #newBars(hand: "right" | "left", count: number, choice = rhythms): Bar[] {
    const lowest = hand === "right" ? 28 : 10;
    return Array.from({ length: count }, () =>
      this.#dice.oneOf(choice).map((sixteenths) => {
        const step = this.#dice.chance(0.6) ? this.#dice.oneOf([-2, -1, 1, 2]) : this.#dice.whole(-5, 5);
        let place = this.#place[hand] + step;
        if (place < lowest) place = lowest + this.#dice.whole(1, 4);
        if (place > lowest + 16) place = lowest + 16 - this.#dice.whole(1, 4);
        this.#place[hand] = place;
        const gap = this.#dice.whole(2, 5);
        return { strings: this.#dice.chance(0.25) ? [place, place + gap] : [place], sixteenths };
      }),
    );
  }

  #changed(bars: readonly Bar[], change: NearChange): Bar[] {
    const middle = bars.length >> 1;
    const at = this.#dice.whole(0, 1);
    const edit = (bar: number, event: number, to: (event: Event) => Event[]): Bar[] =>
      bars.map((own, b) => (b === bar ? own.flatMap((one, e) => (e === event ? to(one) : [one])) : own));
    const moved = (event: Event, steps: number): Event => ({
      strings: event.strings.map((string) => string + steps),
      sixteenths: event.sixteenths,
    });
    switch (change) {
      case "other last note":
        return edit(bars.length - 1, bars[bars.length - 1]!.length - 1, (event) => [moved(event, 3)]);
      case "one note changed":
        return edit(middle, at, (event) => [moved(event, this.#dice.oneOf([-2, 2, 3]))]);
      case "chord note an octave higher":
        return edit(middle, at, (event) => [
          { ...event, strings: [event.strings[0]!, event.strings[0]! + 7] },
        ]);
      case "grace note added":
        return edit(middle, at, (event) => [{ strings: [event.strings[0]! + 1], sixteenths: 0 }, event]);
      case "note left out":
        return edit(middle, at + 1, () => []).map((own, b) =>
          b === middle
            ? own.map((event, e) =>
                e === at ? { ...event, sixteenths: 16 - sixteenthsOf(own) + event.sixteenths } : event,
              )
            : own,
        );
      case "other rhythm":
        return bars.map((own) => {
          const other = this.#dice.oneOf(rhythms.filter((rhythm) => rhythm.length === own.length));
          return own.map((event, e) => ({ ...event, sixteenths: other[e]! }));
        });
      case "other pick-up":
        return edit(0, 0, (event) => [moved(event, -2)]);
    }
  }

  #trapped(bars: readonly Bar[], kind: Trap["kind"]): Bar[] {
    const axis = 2 * bars[0]![0]!.strings[0]!;
    if (kind === "inverted") {
      return bars.map((bar) =>
        bar.map(({ strings, sixteenths }) => ({
          strings: strings.map((string) => axis - string).reverse(),
          sixteenths,
        })),
      );
    }
    if (kind === "backwards") {
      return [...bars]
        .reverse()
        .map((bar) => [...bar].reverse().map(({ strings, sixteenths }) => ({ strings, sixteenths })));
    }
    const other = this.#newBars("right", 2 * bars.length, rhythms).flat();
    let next = 0;
    return bars.map((bar) =>
      bar.map(({ sixteenths }) => ({ strings: other[next++ % other.length]!.strings, sixteenths })),
    );
  }

  #finish(): PlantedScore {
    const { right, left } = this.#bars;
    const text = tinyScore(
      `R: ${right.map(barText).join(" | ")} // L: ${left.map(barText).join(" | ")}`,
    ).text;
    const places = new Map<number, Place[]>();
    for (const hand of ["right", "left"] as const) {
      this.#bars[hand].flat().forEach(({ origin }, event) => {
        if (origin === undefined) return;
        const known = places.get(origin);
        if (known) known.push({ hand, event });
        else places.set(origin, [{ hand, event }]);
      });
    }
    const plants = this.#plants.map(({ kind, change, origins }): Plant => {
      const pairs = [...origins].flatMap((origin) => {
        const [first, second] = places.get(origin)!;
        return first && second ? [[first, second] as const] : [];
      });
      return { kind, ...(change ? { change } : {}), pairs };
    });
    const eventsBefore = (bar: number): number => right.slice(0, bar).flat().length;
    const traps = this.#traps.map(({ kind, bars: [from, to] }): Trap => {
      return { kind, hand: "right", first: eventsBefore(from), last: eventsBefore(to + 1) - 1 };
    });
    return { text, plants, traps };
  }
}

function shifted(bars: readonly Bar[], steps: number): Bar[] {
  return bars.map((bar) =>
    bar.map((event) => ({ ...event, strings: event.strings.map((string) => string + steps) })),
  );
}

function sixteenthsOf(bar: Bar): number {
  return bar.reduce((sum, event) => sum + event.sixteenths, 0);
}

function barText(bar: Bar): string {
  return bar
    .map(({ strings, sixteenths }) => {
      const chord = strings.map(stringName).join("+");
      return sixteenths === 0 ? `~${chord}` : `${chord}/${sixteenths / 4}`;
    })
    .join(" ");
}
