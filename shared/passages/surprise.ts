import type { PassageTexts } from "./tokens.ts";

/**
 * How much each step of the music tells, in bits: the rarer in its hand's own line, the more. A stretch that tells
 * little comes back by chance; one that tells much does not.
 */
export interface Surprise {
  /** Sum of what the numbers of `shape` before this position tell; one entry more than there are positions. */
  readonly shapeSums: Float64Array;
  /** What one number of `shape` tells. */
  readonly shape: Float64Array;
  /** What one number of `steps` tells. */
  readonly steps: Float64Array;
  /** What an event's chord on its strings tells by itself. */
  readonly chord: Float64Array;
}

/**
 * Measures the lines.
 * Source: self-information, Shannon, "A mathematical theory of communication", 1948, with the frequencies of the line itself.
 */
export function surpriseOf(texts: PassageTexts): Surprise {
  const shape = tellings(texts, texts.shape);
  const shapeSums = new Float64Array(texts.size + 1);
  for (let i = 0; i < texts.size; i += 1) shapeSums[i + 1] = shapeSums[i]! + shape[i]!;
  return { shape, shapeSums, steps: tellings(texts, texts.steps), chord: tellings(texts, texts.chord) };
}

function tellings(texts: PassageTexts, numbers: Int32Array): Float64Array {
  const bits = new Float64Array(texts.size);
  texts.starts.forEach((start, line) => {
    const end = start + texts.lines[line]!.events.length;
    const counts = new Map<number, number>();
    for (let i = start; i < end; i += 1) counts.set(numbers[i]!, (counts.get(numbers[i]!) ?? 0) + 1);
    // What comes back does not count as a sign that it is common: its own place is left out.
    for (let i = start; i < end; i += 1)
      bits[i] = Math.log2((end - start) / Math.max(1, counts.get(numbers[i]!)! - 1));
  });
  return bits;
}

/** What it takes to say which stretch comes back: it could have begun anywhere, most likely with a bar. */
export function firstPlaceBits(texts: PassageTexts, start: number): number {
  const line = texts.lineOf[start]!;
  return Math.log2(texts.opensBar[start] ? texts.barCount[line]! : texts.lines[line]!.events.length) + 1;
}

/**
 * What it takes to say where a passage stands: the bits of choosing one place among those where it could stand.
 * Passages mostly stand at the same beat as before, and a sequence follows at once.
 */
export function placeBits(
  texts: PassageTexts,
  position: number,
  usual: { beat: number; after?: number },
): number {
  const line = texts.lineOf[position]!;
  if (texts.beat[position] !== usual.beat) {
    return Math.log2(texts.lines[line]!.events.length) + 1;
  }
  const followsAt = usual.after;
  if (
    followsAt !== undefined &&
    texts.lineOf[followsAt] === line &&
    texts.bar[position]! - texts.bar[followsAt]! <= 1
  ) {
    return 2;
  }
  return Math.log2(texts.barCount[line]!) + 1;
}
