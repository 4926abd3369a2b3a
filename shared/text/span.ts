/** A stretch of a text: UTF-16 offsets, `end` exclusive. */
export interface Span {
  readonly start: number;
  readonly end: number;
}

export function span(start: number, end: number): Span {
  return { start, end };
}

/** True when the two stretches share a character, or when an empty one lies in or at the edge of the other. */
export function touches(a: Span, b: Span): boolean {
  return a.start <= b.end && b.start <= a.end;
}

export function contains(outer: Span, inner: Span): boolean {
  return outer.start <= inner.start && inner.end <= outer.end;
}
