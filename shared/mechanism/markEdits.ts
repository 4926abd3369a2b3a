import { bracketStartNote } from "../fingering/write.ts";
import type { WrittenHand } from "../fingering/written.ts";
import { letterIndex } from "../harp/strings.ts";
import type { Stringing } from "../harp/tunings.ts";
import { type MechanismMarkToWrite, mechanismMarksBefore } from "../musicxml/mechanismMarkEdits.ts";
import type { Note, Part, Score } from "../score/model.ts";
import { letterOf } from "../score/pitch.ts";
import { Timeline } from "../score/timeline.ts";
import type { Edit } from "../text/edits.ts";
import { isLeverUp } from "./leverNeeds.ts";
import { inPrint, type MarkedChange, markedChanges, mechanismChanges } from "./markedChanges.ts";
import { type MarkMoment, markMoments } from "./markMoments.ts";
import { type PedalWords, type SettingToWrite, settingWords } from "./markWords.ts";
import type { LeverPlan } from "./mechanismOf.ts";
import { pedalOrder } from "./pedalFeet.ts";
import type { PedalPlan } from "./pedalPlan.ts";
import { type PlayedMark, playedMarks } from "./playedMarks.ts";
import { playedEvents } from "./playedNotes.ts";

/** How marks of pedals and levers are printed. */
export interface MechanismPrint {
  /** Names of the notes in words; letters without it. */
  readonly pedalWords?: PedalWords;
  /** How pedal changes are told: in words, in diagrams, or in diagrams where many pedals move at one place. */
  readonly pedalChanges?: "words" | "large" | "diagrams";
}

/** So many pedals that move at one place are a new setting rather than a change. An estimate, from memory. */
const largeChange = 3;

/** A score as read, and what its levers or pedals have to do. */
export interface MarkedScore {
  readonly text: string;
  readonly score: Score;
  readonly harp: { readonly parts: readonly Part[] };
  readonly hands: readonly WrittenHand[];
  readonly instrument?: Stringing;
  readonly levers?: LeverPlan;
  readonly pedals?: PedalPlan;
  readonly tempo?: number;
}

/** What a score says about its levers or pedals, beside what they have to do. */
export interface MarksFound {
  readonly marks: readonly PlayedMark[];
  /** As they are played. */
  readonly changes: readonly MarkedChange[];
  /** The setting before the first note is told. */
  readonly saysStart: boolean;
  /** Changes are told of, not the setting at the start alone. */
  readonly saysChanges: boolean;
}

/** Reads the marks of a score and compares them with what its notes need. */
export function marksOf(of: MarkedScore): MarksFound {
  const lines = of.hands.map(({ line }) => line);
  const timeline = new Timeline(of.score, of.tempo);
  const marks = playedMarks(of.score, of.harp.parts, lines, timeline);
  const first = Math.min(...lines.map(({ events }) => events[0]?.atMicros ?? Number.POSITIVE_INFINITY));
  return {
    marks,
    changes: markedChanges(mechanismChanges(of), marks),
    saysStart: marks.some(({ atMicros }) => atMicros <= first),
    saysChanges: marks.some(({ atMicros }) => atMicros > first),
  };
}

/** Edits, and how many places they write at. */
export interface MarkEdits {
  readonly edits: readonly Edit[];
  readonly places: number;
}

/**
 * The edits that write what the print does not say about the levers or pedals: their setting before the first note, and
 * each change where it is made. What is there already and is right stays as it is, so that writing twice changes
 * nothing the second time; what is there and is wrong stays too, and is a finding.
 *
 * @param wanted the changes to write; without it all, and the setting at the start.
 */
export function markEdits(
  of: MarkedScore,
  print: MechanismPrint = {},
  wanted?: (change: MarkedChange) => boolean,
): MarkEdits {
  const lines = of.hands.map(({ line }) => line);
  const { changes, saysStart } = marksOf(of);
  const missing = changes.filter((change) => !change.isRight);
  const played = playedEvents(of.score, lines, new Timeline(of.score, of.tempo));
  const places = new Map<string, Place>();
  const placeAt = (hand: string, event: number): Place => {
    const line = lines.find((one) => one.hand === hand)!;
    const { part, onset, grace } = line.events[event]!;
    const note = bracketStartNote(line, event);
    const key = `${part.id} ${onset.n}/${onset.d} ${grace ? note.index : ""}`;
    const known = places.get(key) ?? {
      part,
      note,
      start: [],
      settings: [],
      atMicros: Number.NEGATIVE_INFINITY,
    };
    places.set(key, known);
    return known;
  };
  if (!wanted && !saysStart && played[0]) {
    const start = startSettings(of);
    if (start.length > 0) placeAt(played[0].hand, played[0].event).start.push(...start);
  }
  const moments = markMoments(missing, played, lines, of.score);
  const printed = new Set(inPrint(missing));
  for (const { change, before } of moments) {
    if (!printed.has(change) || (wanted && !wanted(change))) continue;
    const place = placeAt(before.hand, before.event);
    place.atMicros = Math.max(place.atMicros, before.atMicros);
    const { settings } = place;
    const known = settings.findIndex(
      ({ letter, string }) => letter === change.letter && string === change.string,
    );
    if (known >= 0) settings.splice(known, 1);
    settings.push({ letter: change.letter, string: change.string, alter: change.to });
  }
  const edits = [...places.values()].sort(inText).map(({ part, note, start, settings, atMicros }) => {
    const now = (): number[] => settingAt(of.pedals!.start, changes, moments, atMicros);
    const marks: MechanismMarkToWrite[] = [
      ...(start.length > 0 ? [markOf(of, part, start, print, () => of.pedals!.start, "Set: ")] : []),
      ...(settings.length > 0 ? [markOf(of, part, settings, print, now)] : []),
    ];
    return mechanismMarksBefore(of.text, note.site, marks);
  });
  return { edits, places: edits.length };
}

interface Place {
  readonly part: Part;
  readonly note: Note;
  readonly start: SettingToWrite[];
  readonly settings: SettingToWrite[];
  /** When it is last passed, of the changes that are written there. */
  atMicros: number;
}

/** How the pedals stand once all changes up to a moment of the playing are made. */
function settingAt(
  start: readonly number[],
  changes: readonly MarkedChange[],
  moments: readonly MarkMoment<MarkedChange>[],
  atMicros: number,
): number[] {
  const written = new Map(moments.map(({ change, before }) => [change, before.atMicros]));
  const setting = [...start];
  for (const change of changes) {
    const made = written.get(change) ?? change.mark!.atMicros;
    if (made <= atMicros) setting[change.letter] = change.to;
  }
  return setting;
}

const inText = (a: Place, b: Place): number => a.note.site.span.start - b.note.site.span.start;

/** What has to be told before the first note: all pedals; of levers those that are up, all of a letter as one. */
function startSettings({ levers, pedals, instrument }: MarkedScore): SettingToWrite[] {
  if (pedals) return pedals.start.map((alter, letter) => ({ letter, string: undefined, alter }));
  if (!levers || !instrument) return [];
  const ofLetter = new Map<number, SettingToWrite[]>();
  for (const [string, alter] of levers.start) {
    const letter = letterIndex(string);
    ofLetter.set(letter, [...(ofLetter.get(letter) ?? []), { letter, string, alter }]);
  }
  return [...ofLetter.values()].flatMap((all): SettingToWrite[] => {
    const up = all.filter(({ string, alter }) => isLeverUp(instrument, string!, alter));
    const isWhole = up.length === all.length && up.length > 0;
    return isWhole ? [{ ...up[0]!, string: undefined }] : up;
  });
}

function markOf(
  { pedals }: MarkedScore,
  part: Part,
  settings: readonly SettingToWrite[],
  { pedalWords, pedalChanges = "words" }: MechanismPrint,
  setting: () => readonly number[],
  before = "",
): MechanismMarkToWrite {
  // Pedals are told below the staves, levers between them. Common practice, no source.
  const place = {
    placement: pedals ? ("below" as const) : ("above" as const),
    staff: part.staves > 1 ? part.staves : undefined,
  };
  const isAll = settings.length === pedalOrder.length;
  const isLarge = pedalChanges === "large" && settings.length >= largeChange;
  if (pedals && (isAll || isLarge || pedalChanges === "diagrams")) {
    const alters = setting();
    return { ...place, sign: { pedals: pedalOrder.map((letter) => [letterOf(letter), alters[letter]!]) } };
  }
  return { ...place, sign: { words: before + settingWords(settings, pedalWords) } };
}
