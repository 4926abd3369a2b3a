import type { PanelBracket } from "../../../shared/protocol/panel.ts";
import type { ScoreIndex } from "./scoreIndex.ts";

const svgSpace = "http://www.w3.org/2000/svg";
/** A staff space in the engraver's units. */
const space = 180;

/** The picture of one system, with what the engraver does not draw. */
export interface SystemPicture {
  readonly svg: SVGSVGElement;
  /** CSS pixels at the size that it was engraved for. */
  readonly height: number;
}

/**
 * Turns the engraver's SVG into a picture for the page: in the page's colours, with nothing in it that a strict
 * security policy would refuse.
 */
export function systemPicture(text: string, label: string): SVGSVGElement {
  const parsed = new DOMParser().parseFromString(text, "image/svg+xml");
  const root = parsed.documentElement;
  if (root.localName !== "svg") throw new Error("The engraver's picture could not be read.");
  for (const element of parsed.querySelectorAll("style, script, foreignObject")) element.remove();
  const svg = document.importNode(root, true) as unknown as SVGSVGElement;
  svg.querySelector("svg.definition-scale")?.removeAttribute("color");
  svg.querySelector(":scope > desc")?.remove();
  svg.setAttribute("class", "system-picture");
  svg.setAttribute("role", "img");
  svg.setAttribute("aria-label", label);
  for (const fing of svg.querySelectorAll<SVGGElement>("g.fing")) {
    const note = fing.getAttribute("data-startid")?.slice(1);
    if (note !== undefined) fing.setAttribute("data-note", note);
  }
  return svg;
}

/**
 * Draws brackets and marks over a picture, and makes room for them. The picture must stand in the document: where
 * things are is known only there.
 * @returns the height in the units of the picture's width, 0 when nothing is drawn.
 */
export function decorate(svg: SVGSVGElement, index: ScoreIndex, showsProposal: boolean): void {
  const margin = svg.querySelector<SVGGElement>("g.page-margin");
  if (!margin) return;
  margin.querySelector(":scope > g.drawn-over")?.remove();
  const layer = svgElement("g", { class: "drawn-over" });
  const boxes = new Boxes(svg);
  markFingers(svg, index, showsProposal);
  const brackets = new BracketDrawer(boxes, layer);
  for (const bracket of index.score.brackets) {
    if (bracket.from === "print" || showsProposal) brackets.draw(bracket);
  }
  for (const finding of index.score.findings) {
    for (const note of finding.notes) boxes.addMark(layer, note, finding.severity, isRight(index, note));
  }
  margin.append(layer);
  makeRoom(svg, margin);
}

function isRight(index: ScoreIndex, note: string): boolean {
  return index.note(note)?.hand !== "left";
}

/** Says of each digit whether it is printed or proposed. */
function markFingers(svg: SVGSVGElement, index: ScoreIndex, showsProposal: boolean): void {
  for (const fing of svg.querySelectorAll<SVGGElement>("g.fing")) {
    const note = index.note(fing.getAttribute("data-note") ?? undefined);
    const proposed = note !== undefined && note.from === "proposal" && note.printed.length === 0;
    fing.setAttribute(
      "class",
      `fing ${proposed ? "proposed" : "printed"}${proposed && !showsProposal ? " hidden" : ""}`,
    );
    fing.querySelector(":scope > line")?.remove();
    if (!proposed || !showsProposal) continue;
    const box = fing.getBBox();
    const y = box.y + box.height * 0.94;
    fing.append(
      svgElement("line", {
        class: "proposal-rule",
        x1: box.x - 20,
        x2: box.x + box.width + 20,
        y1: y,
        y2: y,
      }),
    );
  }
}

interface Box {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

/** Where things stand in a picture, measured when first asked for. */
class Boxes {
  readonly #svg: SVGSVGElement;
  readonly #notes = new Map<string, Box | undefined>();
  readonly #fingers = new Map<string, SVGGElement[]>();
  /** Boxes of what was drawn over, so that marks keep clear of it. */
  readonly drawn: Box[] = [];
  #obstacles: readonly Box[] | undefined;

  constructor(svg: SVGSVGElement) {
    this.#svg = svg;
    for (const fing of svg.querySelectorAll<SVGGElement>("g.fing")) {
      const note = fing.getAttribute("data-note");
      if (note !== null) this.#fingers.set(note, [...(this.#fingers.get(note) ?? []), fing]);
    }
  }

  /** The notehead; undefined for a note of another system. */
  head(note: string): Box | undefined {
    if (!this.#notes.has(note)) {
      const head = this.#svg.querySelector<SVGGElement>(`#${note} > g.notehead`);
      this.#notes.set(note, head ? toBox(head.getBBox()) : undefined);
    }
    return this.#notes.get(note);
  }

  /** A note with its stem and its digits. */
  whole(note: string): Box | undefined {
    const group = this.#svg.querySelector<SVGGElement>(`#${note}`);
    if (!group) return undefined;
    const chord = group.parentElement?.classList.contains("chord") ? group.parentElement : undefined;
    const stem = (chord ?? group).querySelector<SVGGElement>(":scope > g.stem");
    const boxes = [group, ...(stem ? [stem] : []), ...(this.#fingers.get(note) ?? [])]
      .filter((each) => !each.classList.contains("hidden"))
      .map((each) => toBox((each as SVGGElement).getBBox()));
    return boxes.reduce(around);
  }

  /** Words, dynamics, slurs and the like: what a bracket may not run through. */
  get obstacles(): readonly Box[] {
    this.#obstacles ??= [
      ...this.#svg.querySelectorAll<SVGGElement>(
        "g.dir, g.tempo, g.reh, g.dynam, g.hairpin, g.octave, g.slur, g.tupletNum, g.ending, g.trill, g.fermata",
      ),
    ].map((each) => writtenBox(each, toBox(each.getBBox())));
    return this.#obstacles;
  }

  /** A sign for a finding, outside all else that stands at the note. */
  addMark(layer: SVGElement, note: string, severity: string, above: boolean): void {
    const head = this.head(note);
    const whole = this.whole(note);
    if (!head || !whole) return;
    const middle = (head.left + head.right) / 2;
    const half = 0.62 * space;
    const column = { left: middle - half, right: middle + half };
    let edge = above ? whole.top : whole.bottom;
    const clashes = (): Box | undefined =>
      [...this.drawn, ...this.obstacles].find(
        (box) =>
          box.left < column.right &&
          box.right > column.left &&
          (above
            ? box.top < edge && box.bottom > edge - 3 * half
            : box.bottom > edge && box.top < edge + 3 * half),
      );
    for (let clash = clashes(); clash; clash = clashes()) edge = above ? clash.top : clash.bottom;
    const y = above ? edge - 1.5 * half : edge + 1.5 * half;
    this.drawn.push({ ...column, top: y - half, bottom: y + half });
    const mark = svgElement("path", { class: `mark ${severity}`, d: markPath(severity, middle, y, half) });
    mark.setAttribute("data-note", note);
    layer.append(mark);
  }
}

/** Told apart by shape: a filled diamond, a triangle, a ring. */
export function markPath(severity: string, x: number, y: number, half: number): string {
  if (severity === "error") return `M${x} ${y - half}L${x + half} ${y}L${x} ${y + half}L${x - half} ${y}Z`;
  if (severity === "warning")
    return `M${x} ${y - half * 0.9}L${x + half} ${y + half * 0.8}L${x - half} ${y + half * 0.8}Z`;
  const r = half * 0.8;
  return `M${x - r} ${y}a${r} ${r} 0 1 0 ${2 * r} 0a${r} ${r} 0 1 0 ${-2 * r} 0Z`;
}

/** Draws placing brackets from first to last notehead, outside the digits. */
class BracketDrawer {
  readonly #boxes: Boxes;
  readonly #layer: SVGElement;

  constructor(boxes: Boxes, layer: SVGElement) {
    this.#boxes = boxes;
    this.#layer = layer;
  }

  draw(bracket: PanelBracket): void {
    const boxes = this.#boxes;
    const here = bracket.notes.filter((note) => boxes.head(note));
    if (here.length === 0) return;
    const whole = here.map((note) => boxes.whole(note)!).reduce(around);
    const starts = middleOf(bracket.firstNotes, boxes);
    const ends = middleOf(bracket.lastNotes, boxes);
    // Two brackets that meet over one note both have their hook at it.
    const inset = 0.22 * space;
    const left = starts === undefined ? whole.left - 0.5 * space : starts + inset;
    const right = ends === undefined ? whole.right + 0.8 * space : ends - inset;
    const above = bracket.hand === "right";
    const hook = 0.75 * space;
    const gap = 0.35 * space;
    let y = above ? whole.top - gap - hook : whole.bottom + gap + hook;
    const band = (): Box => ({
      left: left - 10,
      right: right + 10,
      top: above ? y - 30 : y - hook,
      bottom: above ? y + hook : y + 30,
    });
    const clash = (): Box | undefined =>
      [...boxes.drawn, ...boxes.obstacles].find((box) => overlaps(box, band()));
    for (let box = clash(), tries = 0; box && tries < 40; box = clash(), tries += 1)
      y = above ? box.top - gap - hook : box.bottom + gap + hook;
    boxes.drawn.push(band());
    const end = above ? y + hook : y - hook;
    const points = [
      starts === undefined ? "" : `M${left} ${end}`,
      `${starts === undefined ? "M" : "L"}${left} ${y}L${right} ${y}`,
      ends === undefined ? "" : `L${right} ${end}`,
    ].join("");
    const path = svgElement("path", {
      class: `bracket ${bracket.from === "print" ? "printed" : "proposed"}`,
      d: points,
    });
    path.setAttribute("data-hand", bracket.hand);
    path.setAttribute("data-first", bracket.firstNotes.join(" "));
    path.setAttribute("data-last", bracket.lastNotes.join(" "));
    this.#layer.append(path);
  }
}

function middleOf(notes: readonly string[], boxes: Boxes): number | undefined {
  const heads = notes.flatMap((note) => boxes.head(note) ?? []);
  if (heads.length === 0) return undefined;
  const all = heads.reduce(around);
  return (all.left + all.right) / 2;
}

/** Grows the picture to hold all that was drawn. */
function makeRoom(svg: SVGSVGElement, margin: SVGGElement): void {
  const inner = svg.querySelector<SVGSVGElement>("svg.definition-scale");
  if (!inner) return;
  const original = svg.getAttribute("data-box") ?? svg.getAttribute("viewBox") ?? "";
  svg.setAttribute("data-box", original);
  const [, , width = 0, height = 0] = original.split(/[\s,]+/).map(Number);
  const innerWidth = inner.viewBox.baseVal.width;
  if (!(width > 0) || !(innerWidth > 0)) return;
  const scale = width / innerWidth;
  const shift = margin.transform.baseVal.consolidate()?.matrix.f ?? 0;
  const box = margin.getBBox();
  const pad = 0.4 * space;
  const top = Math.min(0, (box.y + shift - pad) * scale);
  const bottom = Math.max(0, (box.y + box.height + shift + pad) * scale);
  svg.setAttribute("viewBox", `0 ${top} ${width} ${Math.max(1, bottom - top || height)}`);
}

/** A text's box is as high as its fonts, and the font of note signs is very high: what is seen of it is less. */
function writtenBox(element: SVGGElement, box: Box): Box {
  const text = element.querySelector<SVGTextElement>(":scope > text");
  const baseline = Number(text?.getAttribute("y") ?? Number.NaN);
  if (!Number.isFinite(baseline)) return box;
  return {
    ...box,
    top: Math.max(box.top, baseline - 2.6 * space),
    bottom: Math.min(box.bottom, baseline + 0.9 * space),
  };
}

function toBox({ x, y, width, height }: DOMRect): Box {
  return { left: x, right: x + width, top: y, bottom: y + height };
}

function around(a: Box, b: Box): Box {
  return {
    left: Math.min(a.left, b.left),
    right: Math.max(a.right, b.right),
    top: Math.min(a.top, b.top),
    bottom: Math.max(a.bottom, b.bottom),
  };
}

function overlaps(a: Box, b: Box): boolean {
  return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
}

function svgElement(name: string, attributes: Readonly<Record<string, string | number>>): SVGElement {
  const element = document.createElementNS(svgSpace, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, String(value));
  return element;
}
