import { refinger } from "../../shared/fingering/refinger.ts";
import { writeFingering } from "../../shared/fingering/write.ts";
import { keepOutside } from "../../shared/fingering/written.ts";
import { guardedText } from "../../shared/musicxml/guard.ts";
import { decodeScoreFile, encodeScoreFile, type ScoreFile } from "../../shared/musicxml/scoreFile.ts";
import { type Analysis, analyse } from "../../shared/service/analyse.ts";
import { fingerScore } from "../../shared/service/fingerScore.ts";
import type { Edit } from "../../shared/text/edits.ts";
import { InputError } from "../../shared/text/problem.ts";
import { hasSchema, invalidity, withoutFingering } from "./libxml.ts";

/** What became of one file: read, fingered on its first part, written, and looked at by others. */
export interface TriedOut {
  readonly notes: number;
  /** Why it was not read, in one sentence. */
  readonly refused?: string;
  /** Fingers and ends of brackets that were written. */
  readonly edits: number;
  /** `equal`: libxml2 sees the same score but for fingering; `unreadable`: it cannot read the original. */
  readonly libxml2: "equal" | "different" | "unreadable" | "nothing written";
  readonly validBefore: boolean | undefined;
  readonly validAfter: boolean | undefined;
  /** What the schema has against the written file, when it had nothing against the original. */
  readonly invalid?: string;
}

/** Above this size each hand is fingered by itself, which is quicker: what is tried here is not the search. */
const togetherNotes = 300;

export function tryOut(bytes: Uint8Array): TriedOut {
  const nothing = {
    edits: 0,
    libxml2: "nothing written",
    validBefore: undefined,
    validAfter: undefined,
  } as const;
  let file: ScoreFile;
  try {
    file = decodeScoreFile(bytes);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    return { ...nothing, notes: 0, refused: error.message };
  }
  const analysis = analyseFirstPart(file.text);
  const notes = analysis.score.parts.reduce((sum, part) => sum + part.notes.length, 0);
  if (!analysis.score.wellFormed) {
    return { ...nothing, notes, refused: analysis.problems[0]?.message ?? "not read" };
  }
  if (analysis.hands.length === 0) return { ...nothing, notes };
  const edits = freshFingering(analysis);
  const written = encodeScoreFile(file, guardedText(file.text, edits));
  return { notes, edits: edits.length, ...judged(bytes, written) };
}

function freshFingering(analysis: Analysis): readonly Edit[] {
  const size = analysis.hands.reduce((sum, { line }) => sum + line.places.size, 0);
  if (size <= togetherNotes) return fingerScore(analysis, { mode: "fresh" }).edits;
  const hands = analysis.hands.map((written) => {
    const all = { first: 0, last: written.line.events.length - 1 };
    return { written, solution: refinger(written, analysis.weights, keepOutside(all)) };
  });
  return writeFingering(analysis, hands, { replace: true });
}

function analyseFirstPart(text: string): Analysis {
  const [first] = analyse(text).score.parts;
  return analyse(text, first ? { part: first.id } : {});
}

function judged(
  before: Uint8Array,
  after: Uint8Array,
): Pick<TriedOut, "libxml2" | "validBefore" | "validAfter" | "invalid"> {
  const [a, b] = [before, after].map((bytes) => {
    const { container } = decodeScoreFile(bytes);
    return container?.scoreBytes ?? bytes;
  }) as [Uint8Array, Uint8Array];
  const original = withoutFingering(a);
  if (original === undefined) {
    return { libxml2: "unreadable", validBefore: undefined, validAfter: undefined };
  }
  const libxml2 = withoutFingering(b) === original ? "equal" : "different";
  if (!hasSchema || invalidity(a) !== undefined) {
    return { libxml2, validBefore: hasSchema ? false : undefined, validAfter: undefined };
  }
  const invalid = invalidity(b);
  return { libxml2, validBefore: true, validAfter: invalid === undefined, invalid };
}
