import { type MeasureEntry, parse, type Score, serialize } from "musicxml-io";

/**
 * The score as another program would write it: read into musicxml-io's own model and written from there. Ids are new;
 * comments, layout, credits, indentation and the title are gone; the voices of each measure come in the opposite order,
 * and measures have other numbers.
 */
export function reserialised(text: string): string {
  const score: Score = parse(text);
  score.metadata = { movementTitle: "Another title" };
  score.credits = [];
  score.defaults = undefined;
  for (const part of score.parts) {
    part.measures.forEach((measure, i) => {
      measure.number = String(i + 101);
      measure.entries = voicesReversed(measure.entries);
    });
  }
  return serialize(score)
    .replace(/ id="i[^"]*"/g, "")
    .replace(/\n\s*/g, "\n");
}

/** Entries of one voice, and where each begins in its measure. */
interface Stream {
  readonly entries: { readonly entry: MeasureEntry; readonly at: number }[];
}

function voicesReversed(entries: readonly MeasureEntry[]): MeasureEntry[] {
  const streams = new Map<string, Stream>();
  /** Directions and the like belong to the voice of the next note. */
  let waiting: Stream["entries"] = [];
  let last: Stream | undefined;
  let at = 0;
  let onset = 0;
  for (const entry of entries) {
    if (entry.type === "backup") at -= entry.duration;
    else if (entry.type === "forward") at += entry.duration;
    if (entry.type === "backup" || entry.type === "forward") {
      last?.entries.push(...waiting);
      waiting = [];
      continue;
    }
    if (entry.type !== "note") {
      waiting.push({ entry, at });
      continue;
    }
    onset = entry.chord ? onset : at;
    const voice = entry.voice ?? "1";
    last = streams.get(voice) ?? { entries: [] };
    streams.set(voice, last);
    last.entries.push(...waiting, { entry, at: onset });
    waiting = [];
    if (!entry.chord && !entry.grace) at += entry.duration;
  }
  last?.entries.push(...waiting);
  const written: MeasureEntry[] = last ? [] : waiting.map(({ entry }) => entry);
  let now = 0;
  for (const { entries: own } of [...streams.values()].reverse()) {
    for (const { entry, at: start } of own) {
      const isChord = entry.type === "note" && entry.chord;
      if (!isChord && start !== now) {
        const duration = Math.abs(start - now);
        const type = start < now ? "backup" : "forward";
        written.push({ _id: `m${written.length}`, type, duration } as MeasureEntry);
        now = start;
      }
      written.push(entry);
      if (entry.type === "note" && !entry.chord && !entry.grace) now += entry.duration;
    }
  }
  return written;
}
