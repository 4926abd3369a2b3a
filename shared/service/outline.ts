import type { Measure, Part } from "../score/model.ts";
import { type Span, span } from "../text/span.ts";
import type { Analysis } from "./analyse.ts";

/** Something that a list of what is in a score names. */
export interface OutlineItem {
  readonly kind: "part" | "bar" | "rehearsal";
  readonly name: string;
  /** A word more, such as the instrument; may be empty. */
  readonly detail: string;
  /** All that belongs to it. */
  readonly span: Span;
  /** What is shown when it is chosen: lies in `span`. */
  readonly selection: Span;
  readonly children: readonly OutlineItem[];
}

/** The parts of a score, in each its bars, in those the rehearsal marks. As much as could be read. */
export function outline({ text, score, harp }: Pick<Analysis, "text" | "score" | "harp">): OutlineItem[] {
  return score.parts.map((part): OutlineItem => {
    const bars = part.measures.map((measure) => barItem(text, part, measure));
    const whole = hull([part.span, ...bars.map((bar) => bar.span)]);
    return {
      kind: "part",
      name: part.name.trim() || part.id || "part",
      detail: harp?.parts.includes(part) ? "harp" : "",
      span: whole,
      selection: startTagAt(text, whole),
      children: bars,
    };
  });
}

function barItem(text: string, part: Part, measure: Measure): OutlineItem {
  const marks = part.words.filter((words) => words.rehearsal && words.measure === measure);
  return {
    kind: "bar",
    name: `bar ${measure.number}`,
    detail: marks.map((mark) => mark.text.trim()).join(", "),
    span: measure.span,
    selection: startTagAt(text, measure.span),
    children: marks.map((mark) => ({
      kind: "rehearsal",
      name: mark.text.trim() || "rehearsal mark",
      detail: `bar ${measure.number}`,
      span: mark.span,
      selection: mark.span,
      children: [],
    })),
  };
}

/** The items of an outline, each with the names of those that it lies in, whose names hold what is sought. */
export function outlineMatches(
  items: readonly OutlineItem[],
  sought: string,
  container = "",
): { readonly item: OutlineItem; readonly container: string }[] {
  const wanted = sought.trim().toLowerCase();
  return items.flatMap((item) => [
    ...(item.name.toLowerCase().includes(wanted) ? [{ item, container }] : []),
    ...outlineMatches(item.children, sought, item.name),
  ]);
}

/** An element's start tag, which never reaches beyond the element. */
export function startTagAt(text: string, element: Span): Span {
  const end = text.indexOf(">", element.start) + 1;
  return span(element.start, end > 0 && end <= element.end ? end : element.end);
}

/** The smallest stretch that holds all others. In a timewise score a part's stretch holds those of other parts too. */
function hull(spans: readonly Span[]): Span {
  let { start, end } = spans[0]!;
  for (const each of spans) {
    start = Math.min(start, each.start);
    end = Math.max(end, each.end);
  }
  return { start, end };
}
