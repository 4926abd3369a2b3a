import { applyEdits, type Edit, inOrder } from "../text/edits.ts";
import { LineIndex } from "../text/lineIndex.ts";
import { InputError } from "../text/problem.ts";
import { differenceOfMeasures, type Permission } from "./guardTrees.ts";
import { type MeasurePlace, measurePlaces } from "./measurePlaces.ts";
import { readMeasureTexts, readTree } from "./secondReader.ts";

export type { Permission } from "./guardTrees.ts";

/** An edit that would change more of a score than its fingering and its brackets. Nothing may be written. */
export class GuardError extends InputError {
  override readonly name = "GuardError";
  /** Where in the original text. */
  readonly offset: number;

  constructor(original: string, offset: number, what: string, measure?: MeasurePlace) {
    const { line, column } = new LineIndex(original).place(offset);
    const where = measure ? `measure ${measure.number}, line ${line}` : `line ${line}, column ${column}`;
    super(`Nothing was written: ${where}: ${what}. Please report this, with the score if it can be shared.`);
    this.offset = offset;
  }
}

/**
 * The text after the edits, when they change nothing but fingering and brackets.
 *
 * Both texts are read again, by two XML readers that do not know each other. What is proved:
 * 1. every character outside the edits is as it was;
 * 2. both texts are well-formed, and both readers find the same measures in the same places of them;
 * 3. every edit lies inside one measure, so all else is equal character by character;
 * 4. in every measure that an edit touches, the second reader's trees before and after are equal but for what
 *    `differenceOfMeasures` allows.
 * A measure is read by itself in step 4. That is as good as reading it in its place: XML's grammar gives an element
 * the same tree wherever it stands, as long as no entity of the document is used, and a document that declares
 * entities is refused.
 *
 * @param permission what may change besides fingering and brackets; nothing without it.
 * @throws GuardError naming the place; then nothing may be written.
 * Time O(original.length + size of the measures touched).
 */
export function guardedText(original: string, edits: readonly Edit[], permission?: Permission): string {
  return new Guard(original).guardedText(edits, permission);
}

/** Guards the edits to one text; what it found out about the text serves for all of them. */
export class Guard {
  readonly #original: string;
  #measures: readonly MeasurePlace[] | undefined;

  constructor(original: string) {
    this.#original = original;
  }

  /** As the function of this name. */
  guardedText(edits: readonly Edit[], permission?: Permission): string {
    const original = this.#original;
    if (edits.length === 0) return original;
    const { sorted, result } = this.#apply(edits);
    this.#measures ??= this.#checkedMeasures(original, () => 0);
    const back = new Shift(sorted);
    const changed = this.#touchedMeasures(this.#measures, sorted);
    const measures = this.#checkedMeasures(result, (offset) => back.before(offset));
    if (measures.length !== this.#measures.length) this.#refuse(sorted[0]!.span.start, "the measures change");
    const forth = new Shift(sorted);
    this.#measures.forEach((measure, i) => {
      const after = measures[i]!;
      const shift = forth.at(measure.span.start);
      const shiftAtEnd = forth.at(measure.content.end, changed.has(i));
      if (
        after.span.start !== measure.span.start + shift ||
        after.content.end !== measure.content.end + shiftAtEnd
      ) {
        this.#refuse(measure.span.start, "a measure begins or ends elsewhere", measure);
      }
    });
    for (const i of changed) this.#compare(this.#measures[i]!, result, measures[i]!, permission);
    return result;
  }

  #refuse(offset: number, what: string, measure?: MeasurePlace): never {
    throw new GuardError(this.#original, offset, what, measure);
  }

  #apply(edits: readonly Edit[]): { sorted: readonly Edit[]; result: string } {
    try {
      const sorted = inOrder(edits);
      const result = applyEdits(this.#original, sorted);
      this.#compareOutside(sorted, result);
      return { sorted, result };
    } catch (error) {
      if (error instanceof RangeError) return this.#refuse(edits[0]!.span.start, error.message);
      throw error;
    }
  }

  #compareOutside(sorted: readonly Edit[], result: string): void {
    const original = this.#original;
    let before = 0;
    let after = 0;
    const same = (length: number): boolean =>
      original.slice(before, before + length) === result.slice(after, after + length);
    for (const { span, text } of sorted) {
      const length = span.start - before;
      if (!same(length) || result.slice(after + length, after + length + text.length) !== text) {
        this.#refuse(before, "a character outside the edits changes");
      }
      before = span.end;
      after += length + text.length;
    }
    if (original.length - before !== result.length - after || !same(original.length - before)) {
      this.#refuse(before, "a character outside the edits changes");
    }
  }

  /** The measures of a text that both readers agree on. */
  #checkedMeasures(text: string, toOriginal: (offset: number) => number): readonly MeasurePlace[] {
    const isOriginal = text === this.#original;
    const whose = isOriginal ? "the score" : "the score with this change";
    const place = (offset: number): number => (isOriginal ? offset : toOriginal(offset));
    const { measures, malformedAt } = measurePlaces(text);
    if (!measures) return this.#refuse(place(malformedAt), `${whose} is not well-formed XML`);
    let texts: readonly string[];
    try {
      texts = readMeasureTexts(text);
    } catch (error) {
      return this.#refuse(place(0), `the second reader cannot read ${whose} (${messageOf(error)})`);
    }
    const disagree = measures.find(
      ({ content }, i) => texts[i] !== withLineFeeds(text.slice(content.start, content.end)),
    );
    if (disagree || texts.length !== measures.length) {
      this.#refuse(place(disagree?.span.start ?? 0), `two readers disagree about the measures of ${whose}`);
    }
    return measures;
  }

  /** The places among the measures of those that the edits touch. */
  #touchedMeasures(measures: readonly MeasurePlace[], sorted: readonly Edit[]): ReadonlySet<number> {
    const touched = new Set<number>();
    let i = 0;
    for (const { span } of sorted) {
      while (i < measures.length && measures[i]!.content.end < span.start) i += 1;
      const measure = measures[i];
      if (!measure || span.start < measure.content.start || span.end > measure.content.end) {
        this.#refuse(span.start, "an edit lies outside the measures");
      }
      touched.add(i);
    }
    return touched;
  }

  #compare(before: MeasurePlace, result: string, after: MeasurePlace, permission?: Permission): void {
    let difference: string | undefined;
    try {
      const [a] = readTree(this.#original.slice(before.span.start, before.span.end));
      const [b] = readTree(result.slice(after.span.start, after.span.end));
      difference = a && b ? differenceOfMeasures(a, b, permission) : "it cannot be read";
    } catch (error) {
      difference = `the second reader cannot read it (${messageOf(error)})`;
    }
    if (difference) {
      this.#refuse(before.span.start, `something other than fingering would change: ${difference}`, before);
    }
  }
}

/** How far edits move what comes after them. Asked in order of place, so that all of it is one pass. */
class Shift {
  readonly #edits: readonly Edit[];
  #next = 0;
  #shift = 0;

  constructor(sorted: readonly Edit[]) {
    this.#edits = sorted;
  }

  /** The shift at an offset of the original; edits that end there count when `including`. */
  at(offset: number, including = false): number {
    for (let edit = this.#edits[this.#next]; edit; edit = this.#edits[this.#next]) {
      if (edit.span.end > offset || (edit.span.end === offset && !including)) break;
      this.#shift += edit.text.length - (edit.span.end - edit.span.start);
      this.#next += 1;
    }
    return this.#shift;
  }

  /** The offset in the original of an offset after the edits, or the edit's place for one inside an edit. */
  before(offset: number): number {
    let shift = 0;
    for (const { span, text } of this.#edits) {
      const start = span.start + shift;
      if (start + text.length > offset) return Math.min(offset - shift, span.start);
      shift += text.length - (span.end - span.start);
    }
    return offset - shift;
  }
}

function withLineFeeds(text: string): string {
  return text.includes("\r") ? text.replace(/\r\n?/g, "\n") : text;
}

function messageOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}
