import { comfortFor } from "../fingering/comfort.ts";
import type { Finger, HandName, Solution } from "../fingering/model.ts";
import { bracketsToAdd } from "../fingering/write.ts";
import type { WrittenHand } from "../fingering/written.ts";
import { harpPresets } from "../harp/instruments.ts";
import { highestString } from "../harp/strings.ts";
import type { Severity } from "../rules/define.ts";
import { handOf } from "../score/hands.ts";
import type { Note } from "../score/model.ts";
import { harpStringName, letterOf, pitchName, stringName } from "../score/pitch.ts";
import { add, format, rational } from "../score/rational.ts";
import type { Span } from "../text/span.ts";
import type { Analysis } from "./analyse.ts";
import { cautions, stopOnPain } from "./cautions.ts";
import { type PanelEngraving, panelEngraving } from "./panelEngraving.ts";
import { type PanelHand, panelHand } from "./panelHands.ts";
import { PanelIds } from "./panelIds.ts";
import { type PanelMechanism, panelMechanism } from "./panelMechanism.ts";
import { type PanelRepeats, panelRepeats } from "./panelRepeats.ts";
import { proposal } from "./proposal.ts";

/** What the panel shows of one text: a score, or why there is none. */
export type PanelReading = PanelScore | PanelBroken;

/** A text that cannot be shown. */
export interface PanelBroken {
  readonly state: "broken";
  /** The first thing that is wrong, in a sentence. */
  readonly why: string;
  /** Where in the text. */
  readonly span: Span;
  /** From 1. */
  readonly line: number;
  readonly column: number;
}

/** A score as the panel shows it. Plain data: it is sent as JSON. */
export interface PanelScore {
  readonly state: "score";
  readonly title: string;
  readonly engraving: PanelEngraving;
  /** In the order of the document, part by part. */
  readonly notes: readonly PanelNote[];
  readonly measures: readonly PanelMeasure[];
  readonly hands: readonly PanelHand[];
  readonly brackets: readonly PanelBracket[];
  readonly findings: readonly PanelFinding[];
  readonly strings: readonly PanelString[];
  /** Levers or pedals; left out where the settings name no harp, or a lever harp without its tuning. */
  readonly mechanism?: PanelMechanism;
  readonly repeats: PanelRepeats;
  /** What could not be read as it should be. */
  readonly problems: readonly PanelProblem[];
  /** What was taken for granted, in sentences. */
  readonly assumptions: readonly string[];
  /** Where the fingering asks for much, in sentences; the last one is the caution that always holds. */
  readonly cautions: readonly string[];
  /** Microseconds from the start of the piece to its last event. */
  readonly endMicros: number;
}

/** A printed note of the harp. */
export interface PanelNote {
  readonly id: string;
  /** The `<note>` element. */
  readonly span: Span;
  /** Index of the measure. */
  readonly measure: number;
  readonly bar: string;
  /** In quarter notes from 1. */
  readonly beat: string;
  readonly hand: HandName;
  readonly pitch: string;
  /** `C string, 4th octave`. */
  readonly stringName: string;
  /** Index of the hand's event; undefined for what is not plucked. */
  readonly event: number | undefined;
  /** The texts of its `<fingering>` elements. */
  readonly printed: readonly string[];
  /** The finger that plays it. */
  readonly finger: Finger | undefined;
  /** Whether that finger is printed and kept, or proposed. */
  readonly from: "print" | "proposal" | undefined;
}

export interface PanelMeasure {
  /** As printed. */
  readonly number: string;
  /** The `<measure>` element in the harp's first part. */
  readonly span: Span;
}

/** A placing bracket to draw, over notes of one hand. */
export interface PanelBracket {
  readonly hand: HandName;
  readonly from: "print" | "proposal";
  /** Inclusive range of events. */
  readonly first: number;
  readonly last: number;
  /** Ids of the notes of the first and of the last event. */
  readonly firstNotes: readonly string[];
  readonly lastNotes: readonly string[];
  /** Ids of all notes under it. */
  readonly notes: readonly string[];
}

export interface PanelFinding {
  /** Its place among the analysis's findings. */
  readonly index: number;
  readonly rule: string;
  readonly severity: Severity;
  readonly message: string;
  readonly span: Span;
  /** Ids of the notes that it is drawn at; none for one that belongs to no note. */
  readonly notes: readonly string[];
  readonly bar: string | undefined;
  readonly beat: string | undefined;
  readonly hand: HandName | undefined;
  readonly fixes: readonly { readonly title: string; readonly safety: "safe" | "ask" }[];
}

/** A string of the harp. */
export interface PanelString {
  readonly string: number;
  readonly letter: string;
  /** `C4`: middle C. */
  readonly name: string;
  readonly fullName: string;
}

export interface PanelProblem {
  readonly severity: "error" | "warning";
  readonly message: string;
  readonly span: Span;
  readonly line: number;
}

/** What to show of a reading of a score. */
export function panelReading(analysis: Analysis): PanelReading {
  const { score, harp } = analysis;
  if (!harp || !score.wellFormed) return broken(analysis);
  const ids = new PanelIds(harp);
  const solutions = analysis.hands.map((hand) => proposal(analysis, hand));
  const hands = analysis.hands.map((hand, i) => panelHand(hand, solutions[i]!, ids, analysis.weights));
  const notes = panelNotes(analysis, ids, solutions);
  const comfort = comfortFor(analysis.profile);
  const mechanism = panelMechanism(analysis, ids);
  return {
    state: "score",
    title: score.title,
    engraving: panelEngraving({ ...analysis, harp }, solutions),
    notes,
    measures: harp.parts[0]!.measures.map(({ number, span }) => ({ number, span })),
    hands,
    brackets: analysis.hands.flatMap((hand, i) => panelBrackets(analysis, hand, solutions[i]!, ids)),
    findings: panelFindings(analysis, notes),
    strings: panelStrings(hands),
    ...(mechanism ? { mechanism } : {}),
    repeats: panelRepeats(analysis, solutions, ids),
    problems: analysis.problems.map((problem) => ({
      ...problem,
      line: analysis.lines.place(problem.span.start).line,
    })),
    assumptions: analysis.assumptions,
    cautions: [
      ...analysis.hands.flatMap((written, i) => cautions({ written, solution: solutions[i]! }, comfort)),
      stopOnPain,
    ],
    endMicros: Math.max(0, ...hands.map(({ events }) => events.at(-1)?.atMicros ?? 0)),
  };
}

function broken({ problems, lines }: Analysis): PanelBroken {
  const first = problems.find(({ severity }) => severity === "error") ?? problems[0];
  const span = first?.span ?? { start: 0, end: 0 };
  return {
    state: "broken",
    why: first?.message ?? "No score was found in this text.",
    span,
    ...lines.place(span.start),
  };
}

function panelNotes(analysis: Analysis, ids: PanelIds, solutions: readonly Solution[]): PanelNote[] {
  const harp = analysis.harp!;
  return harp.parts.flatMap((part) =>
    part.notes.map((note): PanelNote => {
      const hand = handOf(harp, part, note.staff);
      const at = analysis.hands.findIndex(({ line }) => line.places.has(note));
      const place = analysis.hands[at]?.line.places.get(note);
      const finger = place && solutions[at]!.fingers[place.event]?.[place.stringAt];
      const printed = place && analysis.hands[at]!.fingers[place.event]?.[place.stringAt];
      return {
        id: ids.note(note),
        span: note.site.span,
        measure: note.measure.index,
        bar: note.measure.number,
        beat: beatOf(note),
        hand: analysis.hands[at]?.hand ?? hand,
        pitch: pitchName(note.pitch),
        stringName: harpStringName(note.string),
        event: place?.event,
        printed: note.fingerings.map(({ text }) => text),
        finger,
        from: finger === undefined ? undefined : printed === undefined ? "proposal" : "print",
      };
    }),
  );
}

function beatOf(note: Note): string {
  return format(add(note.position, rational(1)));
}

function panelBrackets(
  { crossingStyle }: Analysis,
  hand: WrittenHand,
  solution: Solution,
  ids: PanelIds,
): PanelBracket[] {
  const { events } = hand.line;
  const bracket = (from: PanelBracket["from"], first: number, last: number): PanelBracket => {
    const notesOf = (event: number): string[] =>
      events[event]!.notes.flatMap(({ note, doubles }) => [note, ...doubles].map((each) => ids.note(each)));
    const all = Array.from({ length: last - first + 1 }, (_, k) => notesOf(first + k));
    return {
      hand: hand.hand,
      from,
      first,
      last,
      firstNotes: all[0]!,
      lastNotes: all.at(-1)!,
      notes: all.flat(),
    };
  };
  const whole = { first: 0, last: events.length - 1 };
  const toAdd = bracketsToAdd(hand, solution, false, whole, crossingStyle);
  return [
    ...hand.brackets.brackets.map(({ first, last }) => bracket("print", first, last)),
    ...toAdd.map(({ first, last }) => bracket("proposal", first, last)),
  ];
}

function panelFindings(analysis: Analysis, notes: readonly PanelNote[]): PanelFinding[] {
  return analysis.findings.map((finding, index) => ({
    index,
    rule: finding.rule,
    severity: finding.severity,
    message: finding.message,
    span: finding.span,
    notes: notesAt(notes, finding.span),
    bar: finding.bar,
    beat: finding.beat,
    hand: finding.hand,
    fixes: finding.fixes.map(({ title, safety }) => ({ title, safety })),
  }));
}

/** The notes that a finding's place lies in; for a place between notes, a bracket's say, the note after it. */
function notesAt(notes: readonly PanelNote[], place: Span): string[] {
  const inside = notes.filter(({ span }) => span.start < place.end && place.start < span.end);
  if (inside.length > 0) return inside.map(({ id }) => id);
  const next = notes.find(({ span }) => span.start >= place.end);
  return next ? [next.id] : [];
}

/** The strings of the smallest harp in use that has all of the piece's. */
function panelStrings(hands: readonly PanelHand[]): PanelString[] {
  const used = hands.flatMap(({ events }) =>
    events.flatMap(({ notes }) => notes.map(({ string }) => string)),
  );
  if (used.length === 0) return [];
  const lowest = Math.min(...used);
  const highest = Math.max(...used);
  const harp = [...harpPresets]
    .sort((a, b) => a.count - b.count)
    .find((preset) => preset.lowest <= lowest && highestString(preset) >= highest);
  const from = harp?.lowest ?? lowest;
  const to = harp ? highestString(harp) : highest;
  return Array.from({ length: to - from + 1 }, (_, i) => ({
    string: from + i,
    letter: letterOf(from + i),
    name: stringName(from + i),
    fullName: harpStringName(from + i),
  }));
}
