/**
 * Faults of every kind, as careless hands make them: each names the rule that has to tell it, and finds the places of a
 * piece that have room for it. What makes a place fit is what the fault is by common practice, no source; it is not
 * asked of the rule. Runs, crossings and the like, for which the pieces have few places, are written into bars in which
 * the harp is silent: once as they should be, once with the fault.
 */
import type { HandName } from "../../shared/fingering/model.ts";
import { mainFingering, type WrittenHand } from "../../shared/fingering/written.ts";
import { harpPreset } from "../../shared/harp/instruments.ts";
import { openTuning } from "../../shared/harp/tunings.ts";
import { markEdits } from "../../shared/mechanism/markEdits.ts";
import type { PrintedBracket } from "../../shared/score/brackets.ts";
import type { Pitch } from "../../shared/score/model.ts";
import { add, format, rational } from "../../shared/score/rational.ts";
import { ruleInputOf } from "../../shared/service/analyse.ts";
import { passagesOf } from "../../shared/service/passagesOf.ts";
import type { Edit } from "../../shared/text/edits.ts";
import type { Span } from "../../shared/text/span.ts";
import {
  gapSeconds,
  isPlain,
  type Known,
  type Place,
  type ProofScore,
  type Spot,
  singleFinger,
  spotOf,
  stringAt,
} from "./proofScore.ts";
import { tinyScore } from "./tinyScore.ts";

/** A fault at one place. */
export interface Fault {
  /** Where it has to be told. */
  readonly spot: Spot;
  /** The event of that hand. */
  readonly event?: number;
  edits(): readonly Edit[];
  /** What is written there without the fault, where that is not in the piece. */
  clean?(): readonly Edit[];
}

/** A kind of fault. */
export interface Kind {
  /** The rule that tells it. */
  readonly rule: string;
  readonly known?: Known;
  /** All places that have room for it, in order. */
  places(score: ProofScore): Fault[];
}

const onPedalHarp: Known = { instrument: { harp: harpPreset("pedal-47")! } };

function onLeverHarp(levers?: readonly string[]): Known {
  return { instrument: { harp: harpPreset("lever-40")!, open: openTuning("C")!, levers } };
}

export const kinds: readonly Kind[] = [
  {
    rule: "finger-outside-range",
    places: (score) =>
      everywhere(score, 1, ({ hand, event }) =>
        plainSingles(hand, event, 1)
          ? fault(score, { hand, event }, () => score.digits(hand, event, [5]))
          : undefined,
      ),
  },
  {
    rule: "finger-on-unplucked-note",
    places: (score) =>
      score.hands.flatMap((hand) =>
        [...hand.line.places.keys()]
          .filter(({ tie, chord, grace }) => tie.start && !chord && !grace)
          .flatMap((note) => {
            const part = hand.line.events[hand.line.places.get(note)!.event]!.part;
            const next = part.notes.find(
              (other) => other.index > note.index && other.continues && other.string === note.string,
            );
            if (!next || next.chord || !next.printed) return [];
            const end = next.site.notations.at(-1)?.span.end ?? next.site.notationsAt;
            const text = "<notations><technical><fingering>2</fingering></technical></notations>";
            return [{ spot: spotOf(hand.hand, next), edits: () => [{ span: { start: end, end }, text }] }];
          }),
      ),
  },
  {
    rule: "same-finger-twice-in-chord",
    places: (score) =>
      chords(score, [2, 3, 4], ({ hand, event }, fingers) =>
        fault(score, { hand, event }, () => score.digits(hand, event, [fingers[1]!])),
      ),
  },
  {
    rule: "fingers-against-strings",
    places: (score) =>
      chords(score, [2], ({ hand, event }, [low, high]) =>
        fault(score, { hand, event }, () => score.digits(hand, event, [high!, low!])),
      ),
  },
  {
    rule: "more-than-four-at-once",
    places: (score) =>
      chords(score, [4], ({ hand, event }) => {
        if (score.hands.length < 2) return undefined;
        const { notes } = hand.line.events[event]!;
        const strings = notes.map(({ string }) => string);
        const free = strings.map((string) => string + 1).find((string) => !strings.includes(string));
        if (free === undefined || free > strings.at(-1)!) return undefined;
        const last = notes.map(({ note }) => note).reduce((a, b) => (b.index > a.index ? b : a));
        return fault(score, { hand, event }, () => score.chordNote(last, free));
      }),
  },
  {
    rule: "reach-beyond-hand",
    places: (score) =>
      chords(score, [2], ({ hand, event }, [, high]) => {
        const [low, top] = hand.line.events[event]!.notes;
        const steps = top!.string - low!.string;
        if (high !== 1 || steps < 7 || steps > 9) return undefined;
        return fault(score, { hand, event }, () => score.digits(hand, event, [2]));
      }),
  },
  {
    rule: "both-hands-on-one-string",
    places: (score) => {
      const [right, left] = bothHands(score);
      if (!right || !left) return [];
      return everywhere(score, 1, ({ hand, event }) => {
        if (hand !== left || !plainSingles(hand, event, 1)) return undefined;
        const at = left.line.events[event]!.atMicros;
        const near = right.line.events.find(
          ({ atMicros, notes }) =>
            at - atMicros >= 60_000 &&
            at - atMicros < 240_000 &&
            notes.some(({ string }) => keepsShape(left, event, string)),
        );
        const string = near?.notes.find((entry) => keepsShape(left, event, entry.string))?.string;
        if (string === undefined || isOnString(right, at, string, near!.atMicros)) return undefined;
        const { note } = left.line.events[event]!.notes[0]!;
        return fault(score, { hand, event }, () => score.pitch(note, string, alterOf(right, string, at)));
      });
    },
  },
  {
    rule: "interlocked-hands",
    places: (score) =>
      bars(score, {
        seconds: 1,
        good: "R: C5:2 // L: C4:3+E4:2+G4:1",
        bad: "R: F4:2 // L: C4:4+E4:3+G4:2+C5:1",
        told: { hand: "right", after: 0 },
      }),
  },
  {
    rule: "both-hands-look",
    places: (score) =>
      bars(score, {
        seconds: 0.75,
        good: "R: (C5:3 D5:2 (E5:1) D5:2 C5:3) // L: r r A3:1 C2:4",
        bad: "R: (C5:3 D5:2 E5:1) (D5:1 C5:2) // L: r r A3:1 C2:4",
        told: { hand: "right", after: 3 },
      }),
  },
  {
    rule: "leap-without-time",
    places: (score) =>
      bars(score, {
        seconds: 0.25,
        good: "R: C4:2 C5:2 r r // L: r",
        bad: "R: C4:2 C6:2 r r // L: r",
        told: { hand: "right", after: 1 },
      }),
  },
  {
    rule: "hand-mark-unclear",
    places: (score) => {
      const [right, left] = bothHands(score);
      if (!right || !left) return [];
      return everywhere(score, 1, ({ hand, event }) => {
        if (hand !== right || !plainSingles(hand, event, 1)) return undefined;
        const { note } = hand.line.events[event]!.notes[0]!;
        const bars = slice(3).map((more) => note.measure.index + more);
        const eventsIn = (own: WrittenHand, bar: number): number[] =>
          own.line.events.flatMap(({ notes }, i) => (notes[0]!.note.measure.index === bar ? i : []));
        if (!bars.every((bar) => eventsIn(left, bar).length > 0 && eventsIn(right, bar).length > 0))
          return undefined;
        const voices = bars.flatMap((bar) =>
          eventsIn(right, bar).flatMap((own) => right.line.events[own]!.notes.map((each) => each.note.voice)),
        );
        if (new Set(voices).size > 1) return undefined;
        const [first, last] = [eventsIn(left, bars[0]!)[0]!, eventsIn(left, bars[2]!).at(-1)!];
        if (score.bracketsIn(left, first, last).length > 0) return undefined;
        // A rest would take the hand back.
        if (hasRest(right, event, eventsIn(right, bars[2]!).at(-1)!)) return undefined;
        if (hand.line.events[event]!.part.staves < 2) return undefined;
        return fault(score, { hand: left, event: 0 }, () => score.words(hand, event, "l.h."), {
          ...score.spot({ hand, event }),
          hand: "left",
        });
      });
    },
  },
  {
    rule: "note-muffled-early",
    places: (score) =>
      score.hands.flatMap((hand) =>
        hand.placings.flatMap(({ first, last }) => {
          const found: Fault[] = [];
          for (let event = first + 1; event <= last; event += 1) {
            if (hand.line.events[event]!.atMicros - hand.line.events[first]!.atMicros < 900_000) continue;
            const string = stringAt(hand, event);
            for (let before = first - 1; before > first - 6 && before >= 0; before -= 1) {
              if (singleFinger(hand, before) === undefined || !isPlain(hand.line.events[before]!)) continue;
              if (stringAt(hand, before) !== string || !score.isClean(hand, before, last)) continue;
              const { note } = hand.line.events[before]!.notes[0]!;
              if (
                note.tie.start ||
                isOnString(
                  otherOf(score, hand),
                  hand.line.events[first]!.atMicros,
                  string,
                  hand.line.events[before]!.atMicros,
                )
              )
                continue;
              found.push(
                fault(score, { hand, event: before }, () => {
                  const at = note.site.notations[0]!.content.start;
                  return [{ span: { start: at, end: at }, text: '<tied type="let-ring"/>' }];
                }),
              );
              break;
            }
          }
          return found;
        }),
      ),
  },
  {
    rule: "buzz-risk",
    places: (score) =>
      bars(score, {
        seconds: 0.3,
        good: "L: C2:4 C3:4 r r // R: r",
        bad: "L: C2:4 C2:4 r r // R: r",
        told: { hand: "left", after: 1 },
      }),
  },
  {
    rule: "finger-above-level",
    known: { profile: { level: 3 } },
    places: (score) =>
      chords(score, [2], ({ hand, event }, [low, high]) => {
        const [lower, top] = hand.line.events[event]!.notes;
        if (low !== 3 || high !== 1 || top!.string - lower!.string < 4) return undefined;
        return fault(score, { hand, event }, () => score.digits(hand, event, [4]));
      }),
  },
  {
    rule: "unusual-interval-fingers",
    places: (score) =>
      chords(score, [2], ({ hand, event }, [low, high]) => {
        const [lower, top] = hand.line.events[event]!.notes;
        if (low !== 2 || high !== 1 || top!.string - lower!.string !== 2) return undefined;
        return fault(score, { hand, event }, () => score.digits(hand, event, [3]));
      }),
  },
  {
    rule: "thumb-not-on-top",
    places: (score) =>
      chords(score, [3], ({ hand, event }, fingers) => {
        if (fingers.join() !== "3,2,1" || isBelowThumb(hand, event)) return undefined;
        return fault(score, { hand, event }, () => score.digits(hand, event, [4, 3, 2]));
      }),
  },
  {
    rule: "turn-without-thumb",
    places: (score) =>
      bars(score, {
        seconds: 0.3,
        good: "R: C4:4 D4:3 E4:2 F4:1 E4:2 D4:3 C4:4 // L: r",
        bad: "R: C4:3 D4:2 E4:1 F4:2 E4:1 D4:2 C4:3 // L: r",
        told: { hand: "right", after: 3 },
      }),
  },
  {
    rule: "same-finger-too-soon",
    places: (score) =>
      bars(score, {
        seconds: 0.3,
        good: "R: C4:3 D4:2 E4:1 // L: r",
        bad: "R: C4:2 D4:2 E4:1 // L: r",
        told: { hand: "right", after: 1 },
      }),
  },
  {
    rule: "fast-repeat-by-one-finger",
    places: (score) =>
      bars(score, {
        seconds: 0.2,
        good: "R: (C4:3 D4:2 E4:1) E4:2 // L: r",
        bad: "R: (C4:3 D4:2 E4:1) E4:1 // L: r",
        told: { hand: "right", after: 3 },
      }),
  },
  {
    rule: "notes-taken-one-by-one",
    places: (score) =>
      bars(score, {
        seconds: 0.5,
        good: "R: C4:4 D4:3 E4:2 F4:1 // L: r",
        bad: "R: C4:2 D4:2 E4:2 F4:1 // L: r",
        told: { hand: "right", after: 0 },
      }),
  },
  {
    rule: "comes-off-without-time",
    places: (score) =>
      bars(score, {
        seconds: 0.3,
        good: "R: (C4:3 D4:2 (E4:1) D4:2 C4:3) // L: r",
        bad: "R: (C4:3 D4:2 E4:1) (D4:2 C4:3) // L: r",
        told: { hand: "right", after: 2 },
      }),
  },
  {
    rule: "turn-without-bracket",
    places: (score) =>
      turns(score, (hand, [a, b]) => {
        if (gapSeconds(hand, a.last) > 0.6 || !isAmongBrackets(score, hand, a.first, b.last))
          return undefined;
        return fault(score, { hand, event: a.last + 1 }, () => score.withoutBracket(b));
      }),
  },
  {
    rule: "crossing-over-skip",
    places: (score) =>
      bars(score, {
        seconds: 0.3,
        good: "R: C4:3 D4:2 F4:1 G4:2 A4:1 G4:2 // L: r",
        bad: "R: C4:2 D4:1 F4:3 G4:2 A4:1 G4:2 // L: r",
        told: { hand: "right", after: 2 },
      }),
  },
  {
    rule: "more-crossings-than-needed",
    places: (score) =>
      bars(score, {
        seconds: 0.3,
        good: "R: C4:4 D4:3 E4:2 F4:1 G4:4 A4:3 B4:2 C5:1 // L: r",
        bad: "R: C4:3 D4:2 E4:1 F4:2 G4:1 A4:3 B4:2 C5:1 // L: r",
        told: { hand: "right", after: 3 },
      }),
  },
  {
    rule: "crossing-with-fourth-finger",
    places: (score) =>
      bars(score, {
        seconds: 0.3,
        good: "R: A4:1 C4:3 D4:2 E4:1 F4:3 G4:2 A4:1 // L: r",
        bad: "R: A4:1 C4:2 D4:1 E4:4 F4:3 G4:2 A4:1 // L: r",
        told: { hand: "right", after: 3 },
      }),
  },
  {
    rule: "bracket-over-turn",
    places: (score) =>
      bars(score, {
        seconds: 0.3,
        good: "R: (F4:2 (A4:1) G4:2) // L: r",
        bad: "R: (F4:2 A4:1 G4:2) // L: r",
        told: { hand: "right", after: 0 },
      }),
  },
  {
    rule: "bracket-over-more-than-four",
    places: (score) =>
      crossings(score, (hand, [a, b]) =>
        b.last - a.first < 4
          ? undefined
          : fault(score, { hand, event: a.first }, () => [
              ...score.withoutBracket(a),
              ...score.withoutBracket(b),
              ...score.bracket(hand, a.first, b.last),
            ]),
      ),
  },
  {
    rule: "overlapping-brackets-clash",
    places: (score) =>
      single(score, (hand, bracket) => {
        if (bracket.last - bracket.first !== 3) return undefined;
        return fault(score, { hand, event: bracket.first + 2 }, () => [
          ...score.withoutBracket(bracket),
          ...score.bracket(hand, bracket.first, bracket.first + 2),
          ...score.bracket(hand, bracket.first + 2, bracket.last),
        ]);
      }),
  },
  {
    rule: "bracket-over-rest",
    places: (score) =>
      bars(score, {
        seconds: 0.9,
        good: "R: (C4:2 D4:1) r r (E4:2 F4:1) // L: r",
        bad: "R: (C4:4 D4:3 r r E4:2 F4:1) // L: r",
        told: { hand: "right", after: 0 },
      }),
  },
  {
    rule: "connected-over-long-note",
    places: (score) =>
      bars(score, {
        seconds: 0.5,
        good: "R: (C4:3 D4:2 E4*4:1) (D4:1 C4:2) // L: r",
        bad: "R: (C4:3 D4:2 (E4*4:1) D4:2 C4:3) // L: r",
        told: { hand: "right", after: 2 },
      }),
  },
  {
    rule: "unmatched-bracket-end",
    places: (score) =>
      single(score, (hand, bracket) =>
        fault(score, { hand, event: bracket.first }, () => score.withoutBracket(bracket).slice(1)),
      ),
  },
  {
    rule: "bracket-on-other-side",
    places: (score) =>
      single(score, (hand, bracket) =>
        fault(score, { hand, event: bracket.first }, () =>
          [bracket.start, bracket.stop].flatMap(({ removal, span }) => turnedOver(score.text, removal, span)),
        ),
      ),
  },
  {
    rule: "missing-finger",
    places: (score) =>
      everywhere(score, 1, ({ hand, event }) =>
        // What is repeated needs no second finger.
        plainSingles(hand, event, 1) && event > 0 && stringAt(hand, event - 1) !== stringAt(hand, event)
          ? fault(score, { hand, event }, () => score.withoutDigit(hand.line.events[event]!.notes[0]!))
          : undefined,
      ),
  },
  {
    rule: "passage-fingered-otherwise",
    places: (score) =>
      bars(score, {
        seconds: 0.4,
        good: "R: C4:4 D4:3 E4:2 G4:1 F4:2 D4:3 B3*2:4 E4*4:2+G4:1 D4*4:2+F4:1 C4:4 D4:3 E4:2 G4:1 F4:2 D4:3 B3*2:4 C4*8:4+E4:3+G4:2+C5:1 // L: r",
        bad: "R: C4:4 D4:3 E4:2 G4:1 F4:2 D4:3 B3*2:4 E4*4:2+G4:1 D4*4:2+F4:1 C4:4 D4:3 E4:2 G4:1 F4:1 D4:2 B3*2:3 C4*8:4+E4:3+G4:2+C5:1 // L: r",
        told: { hand: "right", after: 4 },
      }),
  },
  {
    rule: "shifted-figure-fingered-otherwise",
    places: (score) => shifted(score, (hand, event) => refingered(score, hand, event)),
  },
  {
    rule: "passage-bracketed-otherwise",
    places: (score) =>
      bars(score, {
        seconds: 0.4,
        good: "R: (C4:4 D4:3 E4:2 (G4:1) F4:2 D4:3 B3*2:4) E4*4:2+G4:1 D4*4:2+F4:1 (C4:4 D4:3 E4:2 (G4:1) F4:2 D4:3 B3*2:4) C4*8:4+E4:3+G4:2+C5:1 // L: r",
        bad: "R: (C4:4 D4:3 E4:2 (G4:1) F4:2 D4:3 B3*2:4) E4*4:2+G4:1 D4*4:2+F4:1 C4:4 (D4:3 E4:2 (G4:1) F4:2 D4:3 B3*2:4) C4*8:4+E4:3+G4:2+C5:1 // L: r",
        told: { hand: "right", after: 0 },
      }),
  },
  {
    rule: "passage-fingered-once",
    places: (score) =>
      bars(score, {
        seconds: 0.4,
        good: "R: C4:4 D4:3 E4:2 G4:1 F4:2 D4:3 B3*2:4 E4*4:2+G4:1 D4*4:2+F4:1 C4:4 D4:3 E4:2 G4:1 F4:2 D4:3 B3*2:4 C4*8:4+E4:3+G4:2+C5:1 // L: r",
        bad: "R: C4:4 D4:3 E4:2 G4:1 F4:2 D4:3 B3*2:4 E4*4:2+G4:1 D4*4:2+F4:1 C4 D4 E4 G4 F4 D4 B3*2 C4*8:4+E4:3+G4:2+C5:1 // L: r",
        told: { hand: "right", after: 0 },
      }),
  },
  {
    rule: "duplicate-id",
    places: (score) =>
      everywhere(score, 2, ({ hand, event }) => {
        const notes = slice(2).map((i) => hand.line.events[event + i]?.notes[0]?.note);
        const [a, b] = notes;
        if (
          !a ||
          !b ||
          notes.some((note) =>
            score.text.slice(note!.site.startTag.start, note!.site.startTag.end).includes(" id="),
          )
        )
          return undefined;
        const named = ({ site }: typeof a): Edit => ({
          span: { start: site.startTag.start + 5, end: site.startTag.start + 5 },
          text: ' id="copied"',
        });
        return fault(score, { hand, event: event + 1 }, () => [named(a), named(b)]);
      }),
  },
  {
    rule: "element-out-of-order",
    places: (score) =>
      everywhere(score, 1, ({ hand, event }) => {
        const { start, end } = hand.line.events[event]!.notes[0]!.note.site.span;
        const voice = /<voice>[^<]*<\/voice>/.exec(score.text.slice(start, end));
        if (!voice || !plainSingles(hand, event, 1)) return undefined;
        const at = start + voice.index;
        const last = score.text.lastIndexOf("</note", end);
        return fault(score, { hand, event }, () => [
          { span: { start: at, end: at + voice[0].length }, text: "" },
          { span: { start: last, end: last }, text: voice[0] },
        ]);
      }),
  },
  {
    rule: "fingers-in-text",
    places: (score) =>
      everywhere(score, 3, ({ hand, event }) => {
        if (!plainSingles(hand, event, 3)) return undefined;
        const events = slice(3).map((i) => event + i);
        return fault(score, { hand, event }, () =>
          events.flatMap((at) => [
            ...score.words(hand, at, String(singleFinger(hand, at))),
            ...score.withoutDigit(hand.line.events[at]!.notes[0]!),
          ]),
        );
      }),
  },
  {
    rule: "fingering-costs-more",
    places: (score) =>
      bars(score, {
        seconds: 1,
        good: "R: C4:3+F4:2+A4:1 // L: r",
        bad: "R: C4:4+F4:3+A4:1 // L: r",
        told: { hand: "right", after: 0 },
      }),
  },
  {
    rule: "figure-usually-otherwise",
    places: (score) =>
      bars(score, {
        seconds: 0.8,
        good: "R: E4:3+A4:2+C5:1 r C4:3+F4:2+A4:1 r C4:3+F4:2+A4:1 r D4:3+G4:2+B4:1 r D4:3+G4:2+B4:1 // L: r",
        bad: "R: E4:4+A4:2+C5:1 r C4:3+F4:2+A4:1 r C4:3+F4:2+A4:1 r D4:3+G4:2+B4:1 r D4:3+G4:2+B4:1 // L: r",
        told: { hand: "right", after: 0 },
      }),
  },
  {
    rule: "harmonic-octave-unclear",
    places: (score) =>
      everywhere(score, 1, ({ hand, event }) => {
        if (!standsAlone(score, hand, event)) return undefined;
        const { note } = hand.line.events[event]!.notes[0]!;
        return fault(score, { hand, event }, () => score.technical(note, "<harmonic/>"));
      }),
  },
  {
    rule: "tempo-not-stated",
    places: (score) => {
      // At another tempo than is assumed without one, other times are too short: that is true then.
      const { tempos } = score.analysis.score;
      if (tempos.length !== 1 || Math.abs(tempos[0]!.quartersPerMinute - 96) > 10) return [];
      const found = [...score.text.matchAll(/\stempo="[^"]*"|<metronome\b[\s\S]*?<\/metronome>/g)];
      const first = [...score.hands].sort(
        (a, b) => a.line.events[0]!.atMicros - b.line.events[0]!.atMicros || (a.hand === "right" ? -1 : 1),
      )[0]!;
      return [
        fault(score, { hand: first, event: 0 }, () =>
          found.map(({ index, 0: whole }) => ({
            span: { start: index, end: index + whole.length },
            text: whole.startsWith("<") ? "<words>In time</words>" : "",
          })),
        ),
      ];
    },
  },
  {
    rule: "string-not-on-harp",
    known: onPedalHarp,
    places: (score) =>
      bars(score, {
        seconds: 1,
        good: "R: G7:2 // L: r",
        bad: "R: A7:2 // L: r",
        told: { hand: "right", after: 0 },
      }),
  },
  {
    rule: "alteration-not-available",
    known: onLeverHarp(["F", "C"]),
    places: (score) =>
      bars(score, {
        seconds: 1,
        good: "R: E4:2 // L: r",
        bad: "R: Eb4:2 // L: r",
        told: { hand: "right", after: 0 },
      }),
  },
  {
    rule: "spelling-moves-string",
    known: onPedalHarp,
    places: (score) =>
      naturals(score, [0, 1, 3, 4, 5], (hand, event) => {
        const { note, string } = hand.line.events[event]!.notes[0]!;
        return fault(score, { hand, event }, () => score.pitch(note, string, 2));
      }),
  },
  {
    rule: "no-time-for-lever",
    known: onLeverHarp(),
    places: (score) =>
      bars(score, {
        seconds: 0.5,
        good: "R: F4:2 r F4:2 // L: C3:4 E3:3 G3:2 C4:1 B3:1",
        bad: "R: F4:2 r F#4:2 // L: C3:4 E3:3 G3:2 C4:1 B3:1",
        told: { hand: "right", after: 2 },
      }),
  },
  {
    rule: "lever-moved-while-ringing",
    known: onLeverHarp(),
    places: (score) =>
      bars(score, {
        seconds: 1,
        good: "R: F4:2 r r F#4:2 // L: r r C3:4 E3:3 G3:2 C4:1",
        bad: "R: F4*3:2 F#4:2 // L: r r C3:4 E3:3 G3:2 C4:1",
        told: { hand: "right", after: 3 },
      }),
  },
  {
    rule: "pedal-in-two-places",
    known: onPedalHarp,
    places: (score) =>
      bars(score, {
        seconds: 1,
        good: "R: F4:4+F5:1 // L: r",
        bad: "R: F4:4+F#5:1 // L: r",
        told: { hand: "right", after: 0 },
      }),
  },
  {
    rule: "pedals-too-close",
    known: onPedalHarp,
    places: (score) =>
      bars(score, {
        seconds: 0.25,
        good: "R: F4:3 G4:2 // L: r",
        bad: "R: F4:3 F#4:2 // L: r",
        told: { hand: "right", after: 1 },
      }),
  },
  {
    rule: "pedal-mark-against-notes",
    places: (score) =>
      loneLetters(score, ({ hand, event }, { letter, alter }) =>
        fault(score, { hand, event }, () => score.words(hand, event, `${letter} ${alter === 1 ? "♭" : "♯"}`)),
      ),
  },
  {
    rule: "lever-mark-against-notes",
    known: onLeverHarp(),
    places: (score) =>
      loneLetters(score, ({ hand, event }, { letter, alter }) =>
        alter === 0 && "CDFGA".includes(letter)
          ? fault(score, { hand, event }, () => score.words(hand, event, `${letter} ♯`))
          : undefined,
      ),
  },
  {
    rule: "change-not-marked",
    known: onPedalHarp,
    places: (score) => {
      const changes = (score.analysis.pedals?.changes ?? []).filter(({ last }) => last !== undefined);
      if (changes.length < 4 || score.analysis.harp!.parts.some((part) => part.pedalDiagrams.length > 0))
        return [];
      const input = ruleInputOf(score.analysis)!;
      const marked = (leftOut?: (typeof changes)[number]) => (): readonly Edit[] =>
        markEdits(
          input,
          undefined,
          ({ letter, next }) =>
            letter !== leftOut?.letter ||
            next.hand !== leftOut?.next.hand ||
            next.event !== leftOut?.next.event,
        ).edits;
      return changes.flatMap((change) => {
        const hand = score.hands.find((own) => own.hand === change.next.hand)!;
        const { event } = change.next;
        // A mark for the same pedal near might be taken for it.
        const isNear = changes.some(
          ({ letter, next }) =>
            letter === change.letter &&
            next !== change.next &&
            Math.abs(next.atMicros - change.next.atMicros) < 5_000_000,
        );
        if (isNear || !score.isClean(hand, event, event)) return [];
        return [{ ...fault(score, { hand, event }, marked(change)), clean: marked() }];
      });
    },
  },
  {
    rule: "many-hard-joints",
    known: { profile: { level: 2 } },
    places: (score) =>
      bars(score, {
        seconds: 0.3,
        good: "R: C4:2 r r E4:2 r r // L: r",
        bad: "R: C4:2+D4:1 E4:2+F4:1 G4:2+A4:1 B4:2+C5:1 G4:2+A4:1 // L: r",
        told: { hand: "right", after: 1 },
      }),
  },
];

/** Single notes that no other note of their letter sounds with. */
function loneLetters(score: ProofScore, at: (place: Place, pitch: Pitch) => Fault | undefined): Fault[] {
  return everywhere(score, 1, ({ hand, event }) => {
    if (!plainSingles(hand, event, 1)) return undefined;
    const { atMicros, notes } = hand.line.events[event]!;
    const { pitch } = notes[0]!.note;
    const isOther = (other: WrittenHand): boolean =>
      other !== hand &&
      other.line.events.some(
        (own) =>
          own.atMicros === atMicros && own.notes.some(({ note }) => note.pitch.letter === pitch.letter),
      );
    return score.hands.some(isOther) ? undefined : at({ hand, event }, pitch);
  });
}

function fault(
  score: ProofScore,
  place: Place,
  edits: () => readonly Edit[],
  spot = score.spot(place),
): Fault {
  return { spot, event: place.event, edits };
}

function slice(count: number): number[] {
  return Array.from({ length: count }, (_, i) => i);
}

/** Every clean stretch of so many events of a hand, once for each event that it may begin with. */
function everywhere(score: ProofScore, count: number, at: (place: Place) => Fault | undefined): Fault[] {
  return score.hands.flatMap((hand) =>
    hand.line.events.flatMap((_, event) => {
      const last = event + count - 1;
      if (last >= hand.line.events.length || !score.isClean(hand, event, last)) return [];
      return at({ hand, event }) ?? [];
    }),
  );
}

/** Single notes, plucked in the usual way, each with one finger. */
function plainSingles(hand: WrittenHand, event: number, count: number): boolean {
  return slice(count).every((i) => {
    const own = hand.line.events[event + i];
    return (
      own !== undefined &&
      isPlain(own) &&
      singleFinger(hand, event + i) !== undefined &&
      !(i > 0 && own.cutBefore)
    );
  });
}

/** A single note under no bracket. */
function standsAlone(score: ProofScore, hand: WrittenHand, event: number): boolean {
  return plainSingles(hand, event, 1) && score.bracketsIn(hand, event, event).length === 0;
}

/** Chords of so many notes with a finger each, under no bracket. */
function chords(
  score: ProofScore,
  sizes: readonly number[],
  at: (place: Place, fingers: readonly number[]) => Fault | undefined,
): Fault[] {
  return everywhere(score, 1, ({ hand, event }) => {
    const { notes } = hand.line.events[event]!;
    const fingers = notes.flatMap((entry) => mainFingering(entry)?.number ?? []);
    if (!sizes.includes(notes.length) || fingers.length < notes.length) return undefined;
    if (!isPlain(hand.line.events[event]!) || score.bracketsIn(hand, event, event).length > 0)
      return undefined;
    return at({ hand, event }, fingers);
  });
}

/** The thumb has a higher string just before or after, and is kept for it. */
function isBelowThumb(hand: WrittenHand, event: number): boolean {
  const top = hand.line.events[event]!.notes.at(-1)!.string;
  return slice(11).some((i) => {
    const at = event - 8 + i;
    const notes = hand.line.events[at]?.notes ?? [];
    return at !== event && notes.some(({ string }) => string > top);
  });
}

/** Music for an empty bar, with the fault and without it. */
interface Bar {
  /** How long a note without a length is, nearly. */
  readonly seconds: number;
  /** In the short notation; `*3` is a note three times as long. */
  readonly good: string;
  readonly bad: string;
  /** The note that is told of stands so many notes after the bar's beginning. */
  readonly told: { readonly hand: HandName; readonly after: number };
}

/** Bars in which the harp is silent, and in those around: they take music for which the piece has no place. */
function bars(score: ProofScore, { seconds, good, bad, told }: Bar): Fault[] {
  const [part, ...others] = score.analysis.harp!.parts;
  if (!part || others.length > 0 || part.staves !== 2) return [];
  const { tempos, jumps } = score.analysis.score;
  const busy = new Set(part.notes.map(({ measure }) => measure.index));
  return part.measures.flatMap((measure) => {
    const near = [-2, -1, 0, 1, 2].map((more) => measure.index + more);
    // Words may say how the next notes are damped.
    if (
      part.words.some(
        (words) => words.measure.index <= measure.index && words.measure.index > measure.index - 6,
      )
    )
      return [];
    const isTimed = (bar: number): boolean =>
      jumps.some((jump) => jump.measure === bar) || tempos.some((mark) => mark.measure === bar);
    if (near.some((bar) => busy.has(bar) || isTimed(bar))) return [];
    const next = part.measures[measure.index + 1];
    const tempo = tempos.filter((mark) => mark.measure <= measure.index).at(-1)?.quartersPerMinute;
    if (!next || tempo === undefined) return [];
    // In 48ths of a quarter note, as the short notation counts.
    const units = Math.round((seconds * tempo * 48) / 60);
    const written = (notation: string) => (): Edit[] => {
      const divisions = format(measure.divisions);
      const inside = contentOf(score.text, measure.span);
      const after = contentOf(score.text, next.span).start;
      return [
        { span: inside, text: `<attributes><divisions>48</divisions></attributes>${music(notation, units)}` },
        {
          span: { start: after, end: after },
          text: `<attributes><divisions>${divisions}</divisions></attributes>`,
        },
      ];
    };
    const beat = format(add(rational(1), rational(told.after * units, 48)));
    return [
      { spot: { hand: told.hand, bar: measure.number, beat }, edits: written(bad), clean: written(good) },
    ];
  });
}

/** What stands between a bar's tags. */
function contentOf(text: string, bar: Span): Span {
  return { start: text.indexOf(">", bar.start) + 1, end: text.lastIndexOf("</measure", bar.end) };
}

/** The notes and directions of a bar in the short notation, all notes of one length in 48ths of a quarter note. */
function music(notation: string, units: number): string {
  // The short notation's bars hold four quarter notes: what is written short there is then made longer.
  const short = 6;
  const timed = notation.replace(
    /(?<=^|[\s(])([A-G][#b]*\d|r)(?:\*(\d))?/g,
    (_, note: string, times = "1") => `${note}/${Number(times) * short}/48`,
  );
  const { text } = tinyScore(timed);
  return text
    .slice(text.indexOf(">", text.indexOf("<measure")) + 1, text.indexOf("</measure>"))
    .replace(/<attributes>[\s\S]*?<\/attributes>/, "")
    .replace(/<direction(?:(?!<\/direction>)[\s\S])*?<metronome[\s\S]*?<\/direction>/, "")
    .replace(/<(type>[^<]*<\/type|dot\/)>\s*/g, "")
    .replace(
      /<(duration|offset)>(-?\d+)</g,
      (_, name, long) => `<${name}>${(Number(long) / short) * units}<`,
    );
}

/** Brackets of single notes that meet no other. */
function single(
  score: ProofScore,
  at: (hand: WrittenHand, bracket: PrintedBracket) => Fault | undefined,
): Fault[] {
  return score.hands.flatMap((hand) =>
    hand.brackets.brackets.flatMap((bracket) => {
      const { first, last } = bracket;
      if (!score.isClean(hand, first, last) || last === first) return [];
      if (!plainSingles(hand, first, last - first + 1)) return [];
      if (score.bracketsIn(hand, first, last).length > 1) return [];
      return at(hand, bracket) ?? [];
    }),
  );
}

/** Two brackets of single notes that share one note, and no other bracket touches. */
function joints(
  score: ProofScore,
  at: (
    hand: WrittenHand,
    brackets: readonly [PrintedBracket, PrintedBracket],
    isTurn: boolean,
  ) => Fault | undefined,
): Fault[] {
  return score.hands.flatMap((hand) =>
    hand.brackets.brackets.flatMap((a, i) => {
      const b = hand.brackets.brackets[i + 1];
      if (!b || b.first !== a.last || a.first === a.last || b.first === b.last) return [];
      if (!score.isClean(hand, a.first, b.last) || !plainSingles(hand, a.first, b.last - a.first + 1))
        return [];
      if (score.bracketsIn(hand, a.first, b.last).length > 2) return [];
      const way = (from: number): number => Math.sign(stringAt(hand, from + 1) - stringAt(hand, from));
      return at(hand, [a, b], way(a.last - 1) !== way(b.first)) ?? [];
    }),
  );
}

function turns(
  score: ProofScore,
  at: (hand: WrittenHand, brackets: readonly [PrintedBracket, PrintedBracket]) => Fault | undefined,
): Fault[] {
  return joints(score, (hand, brackets, isTurn) => (isTurn ? at(hand, brackets) : undefined));
}

/** Nearly all events before and after have brackets. */
function isAmongBrackets(score: ProofScore, hand: WrittenHand, first: number, last: number): boolean {
  return [first - 6, last + 1].every(
    (from) => slice(6).filter((i) => score.bracketsIn(hand, from + i, from + i).length > 0).length >= 5,
  );
}

function crossings(
  score: ProofScore,
  at: (hand: WrittenHand, brackets: readonly [PrintedBracket, PrintedBracket]) => Fault | undefined,
): Fault[] {
  return joints(score, (hand, brackets, isTurn) => (isTurn ? undefined : at(hand, brackets)));
}

/** Between two events there is a moment at which no note is written to sound. */
function hasRest({ line }: WrittenHand, first: number, last: number): boolean {
  let until = 0;
  return line.events.slice(first, last + 1).some(({ onset, notes }, i) => {
    const from = onset.n / onset.d;
    const silent = i > 0 && from > until + 0.01;
    until = Math.max(until, ...notes.map(({ note }) => from + note.duration.n / note.duration.d));
    return silent;
  });
}

function bothHands(score: ProofScore): [WrittenHand | undefined, WrittenHand | undefined] {
  return [score.hands.find(({ hand }) => hand === "right"), score.hands.find(({ hand }) => hand === "left")];
}

function otherOf(score: ProofScore, hand: WrittenHand): WrittenHand | undefined {
  return score.hands.find((other) => other !== hand);
}

/** A hand plucks this string within a third of a second of a moment, another time than the one that is left out. */
function isOnString(hand: WrittenHand | undefined, micros: number, string: number, leftOut: number): boolean {
  return (
    hand?.line.events.some(
      ({ atMicros, notes }) =>
        atMicros !== leftOut &&
        Math.abs(atMicros - micros) < 350_000 &&
        notes.some((entry) => entry.string === string),
    ) ?? false
  );
}

/** The single note can go to another string near and its neighbours still lie on the same sides of it. */
function keepsShape(hand: WrittenHand, event: number, string: number): boolean {
  const own = stringAt(hand, event);
  if (own === string || Math.abs(own - string) > 2) return false;
  return [event - 1, event + 1].every((at) =>
    (hand.line.events[at]?.notes ?? []).every(
      (entry) => Math.sign(entry.string - own) === Math.sign(entry.string - string),
    ),
  );
}

/** How the string is altered where a hand plucked it last. */
function alterOf(hand: WrittenHand, string: number, micros: number): number {
  const before = hand.line.events.filter(
    ({ atMicros, notes }) => atMicros <= micros && notes.some((entry) => entry.string === string),
  );
  return before.at(-1)?.notes.find((entry) => entry.string === string)?.note.pitch.alter ?? 0;
}

/** Single natural notes of these letters (C is 0) that stand apart from others of their letter. */
function naturals(
  score: ProofScore,
  letters: readonly number[],
  at: (hand: WrittenHand, event: number) => Fault | undefined,
): Fault[] {
  return everywhere(score, 1, ({ hand, event }) => {
    if (!plainSingles(hand, event, 1)) return undefined;
    const { note, string } = hand.line.events[event]!.notes[0]!;
    return note.pitch.alter === 0 && letters.includes(string % 7) ? at(hand, event) : undefined;
  });
}

/** Notes of a figure that comes twice on other strings, fingered alike, but those near its ends. */
function shifted(score: ProofScore, at: (hand: WrittenHand, event: number) => Fault | undefined): Fault[] {
  return passagesOf(score.analysis)
    .classes.filter(({ kind, occurrences }) => kind === "shifted" && occurrences.length === 2)
    .flatMap(({ occurrences, alignment }) => {
      const [hand, other] = occurrences.map((place) => score.hands.find((own) => own.hand === place.hand)!);
      const pairs = alignment[0]!.map((event, m) => [event!, alignment[1]![m]!] as const);
      const isAlike = pairs.every(([a, b]) => hand!.fingers[a]!.join() === other!.fingers[b]!.join());
      if (!isAlike) return [];
      return pairs
        .slice(2, -2)
        .flatMap(([event]) => (score.isClean(hand!, event, event) ? (at(hand!, event) ?? []) : []));
    });
}

/** A chord or a note by itself with other fingers that are as right. */
function refingered(score: ProofScore, hand: WrittenHand, event: number): Fault | undefined {
  if (score.bracketsIn(hand, event, event).length > 0 || !isPlain(hand.line.events[event]!)) return undefined;
  const { notes } = hand.line.events[event]!;
  const fingers = hand.fingers[event]!;
  if (notes.length === 1) {
    if (fingers[0] !== 2) return undefined;
    return fault(score, { hand, event }, () => score.digits(hand, event, [3]));
  }
  if (notes.length !== 2 || fingers[1] !== 1 || fingers[0] !== 3) return undefined;
  return fault(score, { hand, event }, () => score.digits(hand, event, [4]));
}

/** The bracket's end on the other side of the staff. */
function turnedOver(
  text: string,
  removal: { start: number; end: number },
  bracket: { start: number; end: number },
): Edit[] {
  const swap = (words: string): string =>
    words.replace(
      /\b(above|below|up|down)\b/,
      (own) => ({ above: "below", below: "above", up: "down", down: "up" })[own]!,
    );
  const direction = text.slice(removal.start, bracket.start);
  const own = text.slice(bracket.start, bracket.end);
  return [
    { span: { start: removal.start, end: bracket.start }, text: swap(direction) },
    { span: bracket, text: own.replace(/line-end="(up|down)"/, (end) => swap(end)) },
  ];
}
