import { describe, expect, test } from "vitest";
import { harpPreset } from "../../shared/harp/instruments.ts";
import { type Stringing, stringsSounding } from "../../shared/harp/tunings.ts";
import { planPedals } from "../../shared/mechanism/pedalPlan.ts";
import { type PlayedNote, playedEvents, playedNotes } from "../../shared/mechanism/playedNotes.ts";
import { Timeline } from "../../shared/score/timeline.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { Dice } from "../support/randomLines.ts";
import { tinyScore } from "../support/tinyScore.ts";

const concert: Stringing = { harp: harpPreset("pedal-47")! };

function notesOf(music: string): PlayedNote[] {
  const { score, hands } = analyse(tinyScore(music).text);
  const timeline = new Timeline(score);
  const lines = hands.map(({ line }) => line);
  return playedNotes(playedEvents(score, lines, timeline), lines, timeline);
}

/** `F natural to sharp at F#4` */
function movesOf(music: string, options: Parameters<typeof planPedals>[2] = {}): string[] {
  const position = (alter: number): string => ["flat", "natural", "sharp"][alter + 1]!;
  return planPedals(concert, notesOf(music), options).changes.map(
    ({ letter, from, to, next }) =>
      `${"CDEFGAB"[letter]} ${position(from)} to ${position(to)} at string ${next.entry.string}`,
  );
}

/** A pedal moves all strings of a letter (harpspectrum.org, composing for harp). */
describe("pedals", () => {
  test("stand at the start as they are first needed, and stay where nothing asks for them", () => {
    const { start, changes } = planPedals(concert, notesOf("Bb4 Eb4 F#4 C4 Bb4"));
    expect(start).toEqual([0, 0, -1, 1, 0, 0, -1]);
    expect(changes).toEqual([]);
  });

  test("those that nothing asks for stand as a mark before the first note or else the key says", () => {
    const startOf = (text: string) => analyse(text, { instrument: concert }).pedals!.start;
    const { text } = tinyScore("F#4 G4 | <D ♭>A4");
    expect(startOf(text)).toEqual([0, 0, 0, 1, 0, 0, 0]);
    // E major has four sharps, E flat major three flats.
    expect(startOf(text.replace("<fifths>0<", "<fifths>4<"))).toEqual([1, 1, 0, 1, 0, 0, 0]);
    expect(startOf(text.replace("<fifths>0<", "<fifths>-3<"))).toEqual([0, 0, -1, 1, 0, 0, -1]);
    expect(startOf(tinyScore("<D ♭>F#4 G4").text)).toEqual([0, -1, 0, 1, 0, 0, 0]);
  });

  test("one move serves all octaves", () => {
    expect(movesOf("F4 F5 F#4 F#5 F#6 F5")).toEqual([
      "F natural to sharp at string 31",
      "F sharp to natural at string 38",
    ]);
  });

  test("a setting that is given counts from the beginning", () => {
    expect(movesOf("F#4 C5", { start: [0, 0, 0, 0, 0, 0, 0] })).toEqual(["F natural to sharp at string 31"]);
  });

  test("two alterations of one letter at once cannot be had, but one can be played on a neighbour", () => {
    const both = "F4+F#5/1";
    expect(planPedals(concert, notesOf(both)).impossible).toHaveLength(1);
    const { impossible, start } = planPedals(concert, notesOf(both), { respell: true });
    expect(impossible).toEqual([]);
    // F natural and G flat, or E sharp and F sharp.
    expect([start[3] === 0 && start[4] === -1, start[2] === 1 && start[3] === 1]).toContain(true);
  });

  test("G and its neighbours: a half step up and down again costs two moves, on a neighbour none", () => {
    expect(movesOf("E4 Eb4 E4 Eb4")).toHaveLength(3);
    expect(movesOf("E4 Eb4 E4 Eb4", { respell: true })).toEqual([]);
  });
});

/** Every pitch class but D, G and A is on two strings (wiki.youngcomposers.com, Harp); the rest is arithmetic. */
test("which pitch classes have two strings", () => {
  const twice = [28, 29, 30, 31, 32, 33, 34].flatMap((string) =>
    [-1, 0, 1]
      .filter((alter) => stringsSounding(concert, { string, alter }).length > 1)
      .map((alter) => [string, alter]),
  );
  const sounds = twice.map(([string, alter]) => ([0, 2, 4, 5, 7, 9, 11][string! - 28]! + alter! + 12) % 12);
  expect([...new Set(sounds)].sort((a, b) => a - b)).toEqual([0, 1, 3, 4, 5, 6, 8, 10, 11]);
});

test("on 300 random passages no choice of strings needs fewer moves", () => {
  for (let seed = 0; seed < 300; seed += 1) {
    const dice = new Dice(90_000 + seed);
    const notes = Array.from({ length: dice.whole(3, 8) }, (_, i) => {
      const string = dice.whole(28, 34);
      const alter = dice.whole(-1, 1);
      const atMicros = (i - (i > 0 && dice.chance(0.2) ? 1 : 0)) * 1e6;
      return { atMicros, entry: { string, note: { pitch: { alter } } } } as unknown as PlayedNote;
    });
    const plan = planPedals(concert, notes, { respell: true });
    if (plan.impossible.length > 0) continue;
    expect(plan.changes.length, `seed ${seed}`).toBe(fewestByTrying(notes));
    const own = planPedals(concert, notes);
    if (own.impossible.length === 0) {
      expect(plan.changes.length, `seed ${seed}`).toBeLessThanOrEqual(own.changes.length);
    }
  }
});

/** Every choice of a string for every note. */
function fewestByTrying(notes: readonly PlayedNote[]): number {
  let fewest = Number.POSITIVE_INFINITY;
  const go = (i: number, now: Map<number, number>, at: Map<number, number>, moves: number): void => {
    if (moves >= fewest) return;
    const note = notes[i];
    if (!note) {
      fewest = moves;
      return;
    }
    const { string, note: written } = note.entry;
    for (const played of stringsSounding(concert, { string, alter: written.pitch.alter })) {
      const letter = played.string % 7;
      const before = now.get(letter);
      // A pedal has one position at an instant.
      if (at.get(letter) === note.atMicros && before !== played.alter) continue;
      const moved = before !== undefined && before !== played.alter ? 1 : 0;
      go(
        i + 1,
        new Map(now).set(letter, played.alter),
        new Map(at).set(letter, note.atMicros),
        moves + moved,
      );
    }
  };
  go(0, new Map(), new Map(), 0);
  return fewest;
}
