import { SaxesParser } from "saxes";

/** A rectangle in a picture, in the engraver's units; y grows downwards. */
export interface Box {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

/** Where things stand in an engraved picture. */
export interface PictureBoxes {
  /** By note id: the heads, and the heads with stems, beams' ends and fingers. */
  readonly heads: ReadonlyMap<string, Box>;
  readonly notes: ReadonlyMap<string, Box>;
  /** All that ink is on, each staff as one. */
  readonly ink: readonly Box[];
}

/** A staff space. */
export const space = 180;

interface Group {
  readonly id: string;
  readonly classes: string;
  /** The note whose finger it is. */
  readonly fingerOf: string | undefined;
  box: Box | undefined;
}

/**
 * Finds where notes, fingers and all else stand in a picture of the engraver, from the numbers that stand in it. Signs
 * of the music font count as large as such signs are, texts as large as their letters are in most fonts.
 */
export function pictureBoxes(svg: string): PictureBoxes {
  const heads = new Map<string, Box>();
  const notes = new Map<string, Box>();
  const ink: Box[] = [];
  const groups: (Group | undefined)[] = [];
  let text:
    | { readonly x: number; y: number; readonly anchor: string; size: number; letters: string }
    | undefined;
  let skipped = 0;
  const inside = (name: string): Group | undefined =>
    groups.findLast((group) => group?.classes.split(" ").includes(name));
  const add = (box: Box): void => {
    const own = groups[groups.length - 1];
    const isStaffLine = own?.classes === "staff";
    if (isStaffLine) own.box = own.box ? around(own.box, box) : box;
    else if (!inside("barLine") && own?.classes !== "system" && !inside("grpSym")) ink.push(box);
    const note = inside("note");
    const chord = inside("chord");
    const grow = (map: Map<string, Box>, id: string): void => {
      const known = map.get(id);
      map.set(id, known ? around(known, box) : box);
    };
    if (note) {
      grow(notes, note.id);
      if (inside("notehead")) grow(heads, note.id);
    } else if (chord && inside("stem")) chord.box = box;
    const finger = inside("fing")?.fingerOf;
    if (finger !== undefined) grow(notes, finger);
  };
  const chordNotes = new Map<Group, string[]>();
  const parser = new SaxesParser();
  parser.on("opentag", ({ name, attributes }) => {
    const value = (key: string): string => String(attributes[key] ?? "");
    const number = (key: string): number => Number(value(key));
    if (name === "defs" || name === "style") skipped += 1;
    if (skipped > 0) return;
    if (name === "g") {
      const group = {
        id: value("id"),
        classes: value("class"),
        fingerOf: value("data-startid").slice(1) || undefined,
        box: undefined,
      };
      const chord = inside("chord");
      if (chord && group.classes.split(" ").includes("note")) {
        chordNotes.set(chord, [...(chordNotes.get(chord) ?? []), group.id]);
      }
      groups.push(group);
    } else if (name === "use") add(signBox(value("transform"), inside("notehead") !== undefined));
    else if (name === "path" || name === "polygon" || name === "polyline") {
      const points = (value("d") || value("points")).match(/-?\d+(\.\d+)?/g)?.map(Number) ?? [];
      if (points.length > 1) add(pointsBox(points));
    } else if (name === "rect") {
      add(boxOf(number("x"), number("y"), number("x") + number("width"), number("y") + number("height")));
    } else if (name === "ellipse") {
      const [x, y, rx, ry] = [number("cx"), number("cy"), number("rx"), number("ry")];
      add(boxOf(x - rx, y - ry, x + rx, y + ry));
    } else if (name === "text") {
      text = { x: number("x"), y: number("y"), anchor: value("text-anchor"), size: 0, letters: "" };
    } else if (name === "tspan" && text) {
      text.size = Math.max(text.size, Number.parseFloat(value("font-size")) || 0);
    }
  });
  parser.on("text", (letters) => {
    if (text && skipped === 0) text.letters += letters.trim();
  });
  parser.on("closetag", ({ name }) => {
    if (name === "defs" || name === "style") skipped -= 1;
    if (skipped > 0) return;
    if (name === "text" && text) {
      if (text.letters !== "") add(textBox(text));
      text = undefined;
    }
    if (name !== "g") return;
    const group = groups.pop();
    if (group?.classes === "staff" && group.box) ink.push(group.box);
    if (group?.classes.split(" ").includes("chord") && group.box) {
      for (const id of chordNotes.get(group) ?? []) {
        const known = notes.get(id);
        notes.set(id, known ? around(known, group.box) : group.box);
      }
    }
  });
  parser.write(svg).close();
  return { heads, notes, ink };
}

/** Signs are drawn from their left end on; noteheads are a space high, others about two. */
function signBox(transform: string, isHead: boolean): Box {
  const [x = 0, y = 0] = /translate\((-?[\d.]+),\s*(-?[\d.]+)\)/.exec(transform)?.slice(1).map(Number) ?? [];
  const half = isHead ? 0.5 * space : 0.9 * space;
  return boxOf(x, y - half, x + 1.18 * space, y + half);
}

function pointsBox(points: readonly number[]): Box {
  const xs = points.filter((_, i) => i % 2 === 0);
  const ys = points.filter((_, i) => i % 2 === 1);
  return boxOf(Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys));
}

function textBox(text: { x: number; y: number; anchor: string; size: number; letters: string }): Box {
  const width = 0.55 * text.size * text.letters.length;
  const left =
    text.anchor === "middle" ? text.x - width / 2 : text.anchor === "end" ? text.x - width : text.x;
  return boxOf(left, text.y - 0.72 * text.size, left + width, text.y + 0.05 * text.size);
}

function boxOf(left: number, top: number, right: number, bottom: number): Box {
  return { left, right, top, bottom };
}

/** The smallest box that holds both. */
export function around(a: Box, b: Box): Box {
  return {
    left: Math.min(a.left, b.left),
    right: Math.max(a.right, b.right),
    top: Math.min(a.top, b.top),
    bottom: Math.max(a.bottom, b.bottom),
  };
}

export function overlaps(a: Box, b: Box): boolean {
  return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
}
