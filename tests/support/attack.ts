import { Guard, GuardError } from "../../shared/musicxml/guard.ts";
import { decodeScoreFile, encodeScoreFile, type ScoreFile } from "../../shared/musicxml/scoreFile.ts";
import { type Analysis, analyse } from "../../shared/service/analyse.ts";
import { fingeredText, fingerScore } from "../../shared/service/fingerScore.ts";
import type { Edit } from "../../shared/text/edits.ts";
import { InputError } from "../../shared/text/problem.ts";
import type { Span } from "../../shared/text/span.ts";
import { withoutFingering } from "./libxml.ts";
import type { Dice } from "./randomLines.ts";

/** How long reading may take: a second a megabyte, and what a cold start costs. In milliseconds of this process. */
function mostMilliseconds(size: number): number {
  return 300 + size / 1000;
}

function timed<T>(what: string, size: number, run: () => T): T {
  const before = process.cpuUsage();
  const result = run();
  const { user, system } = process.cpuUsage(before);
  const spent = (user + system) / 1000;
  if (spent > 5 * mostMilliseconds(size)) {
    throw new Error(`${what} took ${Math.round(spent)} ms for ${size} bytes`);
  }
  return result;
}

/** Reads a file that may be broken in any way. What cannot be read is refused with a sentence; nothing else is thrown. */
export function readBroken(bytes: Uint8Array): { file: ScoreFile; analysis: Analysis } | undefined {
  let file: ScoreFile;
  try {
    file = timed("decoding", bytes.length, () => decodeScoreFile(bytes));
  } catch (error) {
    if (error instanceof InputError) return undefined;
    throw error;
  }
  if (!file.container) {
    const again = Buffer.from(encodeScoreFile({ ...file, text: "" }, file.text));
    if (!again.equals(bytes)) throw new Error("decoded and encoded again the bytes differ");
  }
  const { text } = file;
  let analysis = timed("reading", text.length, () => analyse(text));
  const [first] = analysis.score.parts;
  if (!analysis.harp && first && analysis.score.wellFormed) {
    analysis = timed("reading", text.length, () => analyse(text, { part: first.id }));
  }
  for (const span of spansOf(analysis)) {
    if (!(span.start >= 0 && span.start <= span.end && span.end <= text.length)) {
      throw new Error(`a span lies outside the text: ${span.start} to ${span.end} of ${text.length}`);
    }
  }
  return { file, analysis };
}

function* spansOf({ score, problems, findings }: Analysis): Generator<Span> {
  for (const { span } of problems) yield span;
  for (const { span } of findings) yield span;
  for (const part of score.parts) {
    yield part.span;
    for (const { span } of [...part.measures, ...part.words, ...part.probableFingerings]) yield span;
    for (const { span, removal } of part.brackets) {
      yield span;
      yield removal;
    }
    for (const { site, fingerings } of part.notes) {
      yield site.span;
      yield site.startTag;
      yield { start: site.notationsAt, end: site.notationsAt };
      yield { start: site.firstChild, end: site.firstChild };
      for (const { span, content } of fingerings) {
        yield span;
        yield content;
      }
    }
  }
}

/** Notes that a fingering in a test may take: the search is not what is tried here. */
const mostNotes = 400;

/**
 * Fingers what could be read and writes it. libxml2 must see the same score but for fingering, and fingering the
 * result once more must change nothing.
 */
export function writeInto({ file, analysis }: { file: ScoreFile; analysis: Analysis }, dice: Dice): boolean {
  if (!analysis.harp || analysis.hands.length === 0) return false;
  const notes = analysis.hands.reduce((sum, { line }) => sum + line.places.size, 0);
  if (notes > mostNotes) return false;
  let written: string;
  try {
    written = fingeredText(analysis, fingerScore(analysis, { mode: dice.oneOf(["keep", "fresh"]) }));
  } catch (error) {
    if (error instanceof InputError) return false;
    throw error;
  }
  expectSameScore(file, written);
  return true;
}

export function expectSameScore(file: ScoreFile, written: string): void {
  const before = withoutFingering(Buffer.from(file.text));
  if (before === undefined) return;
  const after = withoutFingering(Buffer.from(written));
  if (after !== before) throw new Error("libxml2 sees another score than before");
}

const additions = [
  "",
  " ",
  "\n",
  "3",
  "x",
  "<fingering>2</fingering>",
  "<technical/>",
  "<notations/>",
  "<note/>",
  "<!-- x -->",
  "</note>",
  "<note>",
  "&amp;",
  "<technical><fingering>2</fingering></technical>",
  "<notations><technical><fingering>2</fingering></technical></notations>",
  '<direction placement="above"><direction-type><bracket type="start" number="1" line-end="down"/></direction-type><staff>1</staff></direction>',
  "</measure><measure>",
  "<?a b?>",
  "<![CDATA[3]]>",
];

/**
 * Tries random edits on a score: single characters, whole elements put in, taken out or changed. Whatever the guard lets
 * pass must be the same score to libxml2.
 * @returns how many it let pass.
 */
export function attackGuard(text: string, dice: Dice, times: number): number {
  const guard = new Guard(text);
  const before = withoutFingering(Buffer.from(text));
  if (before === undefined) return 0;
  const tags = [...text.matchAll(/<[^>]*>/g)];
  const pieces = [
    ...text.matchAll(
      /<(fingering|technical|notations|direction|bracket)\b[^>]*>[\s\S]*?<\/\1>|<(technical|notations|bracket)\b[^>]*\/>/g,
    ),
  ];
  let passed = 0;
  for (let i = 0; i < times; i += 1) {
    const edits = Array.from({ length: dice.whole(1, 3) }, () => randomEdit(text, tags, pieces, dice));
    let result: string;
    try {
      result = guard.guardedText(edits);
    } catch (error) {
      if (error instanceof GuardError) continue;
      throw error;
    }
    passed += 1;
    if (withoutFingering(Buffer.from(result)) !== before) {
      throw new Error(`the guard let this pass: ${JSON.stringify(edits)}`);
    }
  }
  return passed;
}

function randomEdit(
  text: string,
  tags: readonly RegExpExecArray[],
  pieces: readonly RegExpExecArray[],
  dice: Dice,
): Edit {
  const addition = dice.oneOf(additions);
  if (pieces.length > 0 && dice.chance(0.5)) {
    const piece = dice.oneOf(pieces);
    const end = piece.index + piece[0].length;
    const start = dice.chance(0.5) ? piece.index : end;
    return { span: { start, end: dice.chance(0.5) ? end : start }, text: addition };
  }
  if (tags.length > 0 && dice.chance(0.7)) {
    const tag = dice.oneOf(tags);
    const start = tag.index + (dice.chance(0.5) ? tag[0].length : 0);
    const end = dice.chance(0.7) ? start : Math.min(text.length, start + dice.whole(0, 60));
    return { span: { start, end }, text: addition };
  }
  const start = dice.whole(0, text.length);
  return { span: { start, end: Math.min(text.length, start + dice.whole(0, 3)) }, text: addition };
}
