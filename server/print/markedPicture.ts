import type { PanelBracket } from "../../shared/service/panelScore.ts";
import { around, type Box, overlaps, type PictureBoxes, pictureBoxes, space } from "./boxes.ts";

/** A number at notes, which stands in a list as well. */
export interface NumberedMark {
  readonly label: string;
  readonly notes: readonly string[];
  /** Above the notes of the right hand, below those of the left. */
  readonly hand: "right" | "left";
  readonly severity: "error" | "warning" | "info";
}

/** What is drawn over an engraved picture. */
export interface Drawn {
  readonly brackets: readonly Pick<PanelBracket, "hand" | "notes" | "firstNotes" | "lastNotes">[];
  readonly marks: readonly NumberedMark[];
  /** Notes behind which there is a tint. */
  readonly tinted: readonly string[];
}

/** A picture for a page: an `<svg>` element, and how wide it is at the size of print, in CSS pixels. */
export interface MarkedPicture {
  readonly svg: string;
  readonly widthPx: number;
}

/**
 * Draws placing brackets, from first to last notehead and outside the fingers, and numbered marks over a picture of the
 * engraver, and makes room for them. Notes that are not in the picture are left out; a bracket that goes on in the next
 * picture has an open end. Style sheets are taken out: see `engravedCss`.
 */
export function markedPicture(picture: string, { brackets, marks, tinted }: Drawn): MarkedPicture {
  const boxes = pictureBoxes(picture);
  const placed = new Placed(boxes);
  const behind = tints(boxes, tinted);
  const over = [
    ...brackets.map((bracket) => bracketPath(bracket, placed)),
    ...marks.map((mark) => markShape(mark, placed)),
  ].join("");
  return withRoom(picture, behind, over, placed.all);
}

/** The font of music signs in texts, when a picture of the engraver brings it along. */
export function musicFont(picture: string): string | undefined {
  return /@font-face\s*\{[\s\S]*?\}/.exec(picture)?.[0];
}

/** What is in a picture, and what was put there. */
class Placed {
  readonly boxes: PictureBoxes;
  readonly drawn: Box[] = [];

  constructor(boxes: PictureBoxes) {
    this.boxes = boxes;
  }

  get all(): readonly Box[] {
    return [...this.boxes.ink, ...this.drawn];
  }

  /** Moves a box up or down until it is clear of all else, and keeps the place. */
  clear(box: Box, above: boolean, gap: number): Box {
    const height = box.bottom - box.top;
    let at = box;
    for (let tries = 0; tries < 60; tries += 1) {
      const clash = this.all.find((other) => overlaps(other, at));
      if (!clash) break;
      at = above
        ? { ...at, top: clash.top - gap - height, bottom: clash.top - gap }
        : { ...at, top: clash.bottom + gap, bottom: clash.bottom + gap + height };
    }
    this.drawn.push(at);
    return at;
  }
}

function hull(boxes: readonly (Box | undefined)[]): Box | undefined {
  const there = boxes.filter((box) => box !== undefined);
  return there.length === 0 ? undefined : there.reduce(around);
}

function bracketPath(
  { hand, notes, firstNotes, lastNotes }: Drawn["brackets"][number],
  placed: Placed,
): string {
  const { heads, notes: wholes } = placed.boxes;
  const whole = hull(notes.map((note) => wholes.get(note)));
  if (!whole) return "";
  const middle = (some: readonly string[]): number | undefined => {
    const box = hull(some.map((note) => heads.get(note)));
    return box && (box.left + box.right) / 2;
  };
  const [starts, ends] = [middle(firstNotes), middle(lastNotes)];
  // Two brackets that meet over one note both have their hook at it.
  const inset = 0.2 * space;
  const left = starts === undefined ? whole.left - 0.5 * space : starts + inset * (starts === ends ? -3 : 1);
  const right = ends === undefined ? whole.right + 0.8 * space : ends - inset * (starts === ends ? -3 : 1);
  const above = hand === "right";
  const hook = 0.7 * space;
  const gap = 0.3 * space;
  const at = placed.clear(
    {
      left: left - 10,
      right: right + 10,
      ...(above
        ? { top: whole.top - gap - hook, bottom: whole.top - gap }
        : { top: whole.bottom + gap, bottom: whole.bottom + gap + hook }),
    },
    above,
    gap,
  );
  const [line, tip] = above ? [at.top, at.bottom] : [at.bottom, at.top];
  const d = [
    starts === undefined ? "" : `M${left} ${tip}`,
    `${starts === undefined ? "M" : "L"}${left} ${line}L${right} ${line}`,
    ends === undefined ? "" : `L${right} ${tip}`,
  ].join("");
  return `<path class="placing" d="${d}"/>`;
}

function markShape({ label, notes, hand, severity }: NumberedMark, placed: Placed): string {
  const heads = hull(notes.map((note) => placed.boxes.heads.get(note)));
  const whole = hull(notes.map((note) => placed.boxes.notes.get(note)));
  if (!heads || !whole) return "";
  const above = hand === "right";
  const height = 1.7 * space;
  const width = Math.max(height, (0.85 * label.length + 0.8) * space);
  const x = (heads.left + heads.right) / 2;
  const gap = 0.25 * space;
  const at = placed.clear(
    {
      left: x - width / 2,
      right: x + width / 2,
      ...(above
        ? { top: whole.top - gap - height, bottom: whole.top - gap }
        : { top: whole.bottom + gap, bottom: whole.bottom + gap + height }),
    },
    above,
    gap,
  );
  const y = at.bottom - 0.42 * space;
  const box = `x="${at.left}" y="${at.top}" width="${width}" height="${height}" rx="${severity === "info" ? height / 2 : 30}"`;
  return `<g class="mark ${severity}"><rect ${box}/><text x="${x}" y="${y}" text-anchor="middle" font-size="${1.4 * space}">${label}</text></g>`;
}

function tints({ heads, notes }: PictureBoxes, tinted: readonly string[]): string {
  return tinted
    .flatMap((note) => {
      const [head, whole] = [heads.get(note), notes.get(note)];
      if (!head || !whole) return [];
      const [x, y] = [head.left - 0.5 * space, whole.top - 0.3 * space];
      const width = head.right - head.left + space;
      const height = whole.bottom - whole.top + 0.6 * space;
      return [`<rect class="tint" x="${x}" y="${y}" width="${width}" height="${height}" rx="60"/>`];
    })
    .join("");
}

function withRoom(picture: string, behind: string, over: string, all: readonly Box[]): MarkedPicture {
  const [, width = 0, height = 0] = numbers(/<svg viewBox="([^"]*)"/.exec(picture)?.[1]).slice(1);
  const inner = numbers(/class="definition-scale"[^>]*viewBox="([^"]*)"/.exec(picture)?.[1])[2] ?? 1;
  const shift = numbers(/class="page-margin" transform="translate\(([^)]*)\)/.exec(picture)?.[1])[1] ?? 0;
  const scale = width / inner;
  const box = hull(all) ?? { left: 0, right: 0, top: 0, bottom: 0 };
  const pad = 0.4 * space;
  const top = Math.min(0, Math.floor((box.top + shift - pad) * scale));
  const bottom = Math.max(height, Math.ceil((box.bottom + shift + pad) * scale));
  const svg = picture
    .replace(/<style[\s\S]*?<\/style>/g, "")
    .replace(/<desc>[\s\S]*?<\/desc>|<title[\s\S]*?<\/title>/g, "")
    // The inner picture keeps its size and its place when the outer one gets more room.
    .replace(
      '<svg class="definition-scale"',
      `<svg class="definition-scale" width="${width}" height="${height}"`,
    )
    .replace(/(<g class="page-margin"[^>]*>)/, `$1${behind}`)
    .replace(/<\/g><\/svg><\/svg>\s*$/, `${over}</g></svg></svg>`)
    .replace(
      /<svg viewBox="[^"]*"/,
      `<svg class="engraved" role="img" viewBox="0 ${top} ${width} ${bottom - top}"`,
    )
    // Several pictures of one piece stand on a page; the signs that are drawn again and again keep their names.
    .replace(/ (id|data-startid|data-id)="(?![EF][0-9A-F]{3}-)[^"]*"/g, "");
  return { svg, widthPx: width };
}

function numbers(text: string | undefined): number[] {
  return (text ?? "").split(/[\s,]+/).map(Number);
}

/** What pictures need of their page's style sheet. Print is black: what colour says, shape says too. */
export const engravedCss = `
.engraved { display: block; }
.engraved, .engraved svg { overflow: visible; }
.engraved ellipse, .engraved path, .engraved polygon, .engraved polyline, .engraved rect { stroke: currentColor; }
.engraved g.ending, .engraved g.fing, .engraved g.reh, .engraved g.tempo { font-weight: bold; }
.engraved g.dir, .engraved g.dynam, .engraved g.mNum { font-style: italic; }
.engraved .placing { fill: none; stroke: currentColor; stroke-width: 26; }
.engraved .tint { fill: #ffe08a; stroke: none; }
.engraved .mark rect { fill: #fff; stroke: #333; stroke-width: 22; }
.engraved .mark.error rect { fill: #b3261e; stroke: #b3261e; }
.engraved .mark.warning rect { fill: #ffd54d; stroke: #333; }
.engraved .mark text { font-family: system-ui, sans-serif; font-weight: 600; fill: #111; stroke: none; }
.engraved .mark.error text { fill: #fff; }
`;
