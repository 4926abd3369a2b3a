/** Long plain music, written fast. */
import { findHarp } from "../../shared/score/findHarp.ts";
import { type HandLine, handLines } from "../../shared/score/handLines.ts";
import type { Score } from "../../shared/score/model.ts";
import { letterOf, octaveOf } from "../../shared/score/pitch.ts";
import { readScore } from "../../shared/score/readScore.ts";

export interface Music {
  readonly lines: readonly HandLine[];
  readonly score: Score;
}

/** Eighths on these strings, eight in a bar. */
export function musicOf(strings: readonly number[]): Music {
  const notes = strings.map((string) => {
    const pitch = `<step>${letterOf(string)}</step><octave>${octaveOf(string)}</octave>`;
    return `<note><pitch>${pitch}</pitch><duration>1</duration><voice>1</voice></note>`;
  });
  const bars = Array.from({ length: Math.ceil(notes.length / 8) }, (_, bar) => {
    const attributes = bar === 0 ? "<attributes><divisions>2</divisions></attributes>" : "";
    return `<measure number="${bar + 1}">${attributes}${notes.slice(8 * bar, 8 * bar + 8).join("")}</measure>`;
  });
  const list = '<part-list><score-part id="P1"><part-name>Harp</part-name></score-part></part-list>';
  const { score } = readScore(
    `<score-partwise version="4.0">${list}<part id="P1">${bars.join("")}</part></score-partwise>`,
  );
  return { lines: handLines(score, findHarp(score)), score };
}
