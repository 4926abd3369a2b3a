// What programs import: `import { readScore, check, finger } from "placewright"`. The page beside this file is made from
// the words at its functions.

import { compareEditions } from "../editions/compareEditions.ts";
import { comfortFor } from "../fingering/comfort.ts";
import { Guard } from "../musicxml/guard.ts";
import { decodeScoreFile, encodeScoreFile, type ScoreFile } from "../musicxml/scoreFile.ts";
import { type Analysis, analyse } from "../service/analyse.ts";
import { cautions, stopOnPain } from "../service/cautions.ts";
import { fingerScore } from "../service/fingerScore.ts";
import { passageMap } from "../service/passageMap.ts";
import { pitchNames, placeOf } from "../service/places.ts";
import { mergedSettings, readSettings } from "../service/settings.ts";
import type { LineIndex } from "../text/lineIndex.ts";
import { InputError } from "../text/problem.ts";
import type {
  CheckResult,
  Comparison,
  FingeredNote,
  FingerOptions,
  FingerResult,
  LibraryFinding,
  LibraryProblem,
  Passage,
  Score,
  TextEdit,
  TextRange,
} from "./model.ts";

export type * from "./model.ts";

/** What is known of a score that was read. */
const known = new WeakMap<Score, { readonly file: ScoreFile | undefined; readonly analysis: Analysis }>();

/**
 * Reads a score.
 *
 * @param source   the text of a MusicXML document, or the bytes of a file: `.musicxml` in any encoding, or `.mxl`.
 * @param settings what a `placewright.json` would say, as an object: profile, harp, tempo, part, severity and so on.
 * @returns the score, to be handed to the other functions. What could not be read is in `problems`; a score with an
 *          error there has no findings and cannot be fingered.
 * @throws InputError (an `Error` whose message is for people) when the bytes are no score at all, or a setting has no such
 *         name or value.
 * Time linear in the length of the text.
 */
export function readScore(source: string | Uint8Array, settings: object = {}): Score {
  const file = typeof source === "string" ? undefined : decodeScoreFile(source);
  const text = file?.text ?? (source as string);
  const written = readSettings(JSON.stringify(settings));
  const [wrong] = written.problems;
  if (wrong) throw new InputError(`In the settings: ${wrong.message}`);
  const analysis = analyse(text, mergedSettings([{ scorePath: "score.musicxml", file: written }]));
  const score: Score = {
    text,
    title: analysis.score.title,
    problems: analysis.problems.map(
      ({ severity, message, span }): LibraryProblem => ({
        severity,
        message,
        range: rangeOf(analysis.lines, span),
      }),
    ),
    assumptions: [...(file?.notes ?? []), ...analysis.assumptions],
    hands: analysis.hands.map(({ hand }) => hand),
  };
  known.set(score, { file, analysis });
  return score;
}

/**
 * Checks the written fingering against the rules.
 *
 * @returns the findings in the order of the text. Each has the rule's id, what is wrong in one sentence, where (in the
 *          text; and hand, bar and beat), and its repairs; the edits of a repair are found when they are asked for.
 */
export function check(score: Score): CheckResult {
  const { analysis } = partsOf(score);
  return {
    findings: analysis.findings.map(
      ({ rule, severity, message, span, hand, bar, beat, fixes }): LibraryFinding => ({
        rule,
        severity,
        message,
        range: rangeOf(analysis.lines, span),
        hand,
        bar,
        beat,
        fixes: fixes.map((fix) => ({
          title: fix.title,
          safe: fix.safety === "safe",
          edits: () => plain(fix.edits()),
        })),
      }),
    ),
    accepted: analysis.accepted.length,
  };
}

/**
 * Finds the best fingering of both hands together.
 *
 * @param options `fresh` fingers anew, else what is printed is kept; `hand` and `bars` (printed numbers, both included)
 *                choose a part of the music.
 * @returns each note with its finger, the placings, what it costs, the edits that print it, and what asks for more than is
 *          comfortable: show these sentences and `caution` wherever you show the fingering.
 * @throws InputError when the score has no harp, could not be read whole, or has no such bars.
 */
export function finger(score: Score, options: FingerOptions = {}): FingerResult {
  const { analysis } = partsOf(score);
  const broken = analysis.problems.find(({ severity }) => severity === "error");
  if (broken) throw new InputError(broken.message);
  const { fresh = false, hand, bars } = options;
  const found = fingerScore(analysis, { mode: fresh ? "fresh" : "keep", hand, bars });
  const comfort = comfortFor(analysis.profile);
  return {
    hands: found.hands.map((own) => ({
      hand: own.written.hand,
      notes: own.written.line.events.flatMap((_, event) => {
        const place = placeOf(own.written, event);
        return pitchNames(own.written, event).map(
          (pitch, i): FingeredNote => ({ ...place, pitch, event, finger: own.solution.fingers[event]?.[i] }),
        );
      }),
      placings: own.solution.placings.map(({ first, last, direction, joint }) => ({
        first,
        last,
        direction,
        joint,
      })),
    })),
    cost: found.totalMilli / 1000,
    edits: plain(found.edits),
    warnings: found.hands.flatMap((own) => cautions(own, comfort)),
    caution: stopOnPain,
  };
}

/** The passages that come back, each with its places and how alike they are fingered. */
export function passages(score: Score): readonly Passage[] {
  return passageMap(partsOf(score).analysis).passages.map(({ name, kind, notes, places }) => ({
    name,
    kind,
    notes: notes.map(String),
    places: places.map((place) => ({
      hand: place.hand,
      from: place.from,
      to: place.to,
      likeness: place.likeness,
    })),
  }));
}

/**
 * What is otherwise in a new edition of a piece, bars that were put in or taken out aside.
 *
 * @throws InputError when one of the scores has no harp.
 */
export function compare(old: Score, now: Score): Comparison {
  const edition = (score: Score) => {
    const { harp, hands, problems } = partsOf(score).analysis;
    if (!harp) throw new InputError(problems[0]?.message ?? "The score has no harp.");
    return { harp, hands };
  };
  const { changes, pairs } = compareEditions(edition(old), edition(now));
  return { changes, bars: pairs };
}

/**
 * Makes edits in a score, when nothing but fingering, placing brackets and marks of pedals and levers changes by them.
 *
 * @returns the changed text: every character outside the edits is as it was.
 * @throws InputError when an edit would change anything else, or they overlap; the score is as it was.
 */
export function applyEdits(score: Score, edits: readonly TextEdit[]): string {
  return new Guard(score.text).guardedText(
    edits.map(({ start, end, text }) => ({ span: { start, end }, text })),
    "mechanism marks changed",
  );
}

/**
 * The bytes of the file that a score was read from, with another text in it: the same encoding and the same container.
 * Of a score that was read from a text, UTF-8.
 *
 * @throws InputError when the encoding has no byte for a character of the text.
 */
export function toBytes(score: Score, text: string): Uint8Array {
  const { file } = partsOf(score);
  return file ? encodeScoreFile(file, text) : new TextEncoder().encode(text);
}

function partsOf(score: Score): { readonly file: ScoreFile | undefined; readonly analysis: Analysis } {
  const parts = known.get(score);
  if (!parts)
    throw new InputError("This is no score that readScore returned. Hand on the object itself, not a copy.");
  return parts;
}

function rangeOf(
  lines: LineIndex,
  { start, end }: { readonly start: number; readonly end: number },
): TextRange {
  return { start: { offset: start, ...lines.place(start) }, end: { offset: end, ...lines.place(end) } };
}

function plain(
  edits: readonly { readonly span: { start: number; end: number }; readonly text: string }[],
): TextEdit[] {
  return edits.map(({ span, text }) => ({ start: span.start, end: span.end, text }));
}
