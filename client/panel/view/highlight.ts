import type { ScoreIndex } from "./scoreIndex.ts";

const svgSpace = "http://www.w3.org/2000/svg";

/** What is to stand out in the drawn systems. */
export interface Highlights {
  readonly selected: string | undefined;
  /** Ids of the notes that sound, joined by blanks. */
  readonly sounding: string;
  readonly index: ScoreIndex;
}

/** Frames the selected note and those that sound, and marks the notes of the selected note's placing. */
export function highlight(root: HTMLElement, { selected, sounding, index }: Highlights): void {
  for (const frame of root.querySelectorAll("rect.frame")) frame.remove();
  for (const note of root.querySelectorAll(".in-placing")) note.classList.remove("in-placing");
  for (const id of sounding === "" ? [] : sounding.split(" ")) frameNote(root, id, "sounding");
  if (selected === undefined) return;
  for (const id of placingOf(selected, index)) root.querySelector(`#${id}`)?.classList.add("in-placing");
  frameNote(root, selected, "selected");
}

function placingOf(id: string, index: ScoreIndex): string[] {
  const note = index.note(id);
  const place = note && index.eventOf(note);
  if (!place) return [];
  const { hand, event } = place;
  return hand.placings
    .filter(({ first, last }) => first <= event && event <= last)
    .flatMap(({ first, last }) => hand.events.slice(first, last + 1))
    .flatMap(({ notes }) => notes.map((each) => each.note));
}

function frameNote(root: HTMLElement, id: string, kind: string): void {
  const note = root.querySelector<SVGGElement>(`#${id}`);
  const margin = note?.closest<SVGGElement>("g.page-margin");
  const head = note?.querySelector<SVGGElement>(":scope > g.notehead") ?? note;
  if (!margin || !head) return;
  const { x, y, width, height } = head.getBBox();
  const frame = document.createElementNS(svgSpace, "rect");
  const pad = 75;
  frame.setAttribute("class", `frame ${kind}`);
  frame.setAttribute("x", String(x - pad));
  frame.setAttribute("y", String(y - pad));
  frame.setAttribute("width", String(width + 2 * pad));
  frame.setAttribute("height", String(height + 2 * pad));
  frame.setAttribute("rx", "70");
  margin.prepend(frame);
}
