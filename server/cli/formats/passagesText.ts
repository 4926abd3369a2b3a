import type { PassageKind } from "../../../shared/passages/model.ts";
import type {
  Likeness,
  MappedCell,
  MappedPassage,
  MappedPlace,
  PassageMap,
} from "../../../shared/service/passageMap.ts";
import { counted } from "../../../shared/service/words.ts";

/** More places than these of one passage are counted, not shown. */
const mostPlaces = 12;
/** Columns of a terminal. */
const mostColumns = 110;

/** Every passage as a table: its notes, and below them the fingers of each place. */
export function passagesText({ passages }: PassageMap): string {
  if (passages.length === 0) return "Nothing comes back.\n";
  return passages.map(passageText).join("\n");
}

const kindWords: Readonly<Record<PassageKind, string>> = {
  exact: "on the same strings",
  shifted: "on other strings",
  near: "with small changes",
  otherHand: "in both hands",
};

const likenessWords: Readonly<Record<Likeness, string>> = {
  alike: "alike",
  "in part": "fingered in part",
  unlike: "unlike",
  bare: "not fingered",
};

function passageText(passage: MappedPassage): string {
  const { name, kind, events, places, model } = passage;
  const hand = kind === "otherHand" ? "" : `, ${places[0]!.hand} hand`;
  const shown = shownPlaces(passage);
  const table: Table = {
    heads: ["", ...shown.map((k) => headOf(places[k]!, kind))],
    rows: [notesRow(passage), ...shown.map((k) => rowOf(places[k]!, passage, k === model))],
    tails: ["", ...shown.map((k) => tailOf(places[k]!, k === model))],
  };
  const left = places.length - shown.length;
  return [
    `${name}  ${counted(places.length, "place")} ${kindWords[kind]}${hand}, ${counted(events, "event")}\n`,
    ...tableLines(table).map((line) => `${line}\n`),
    left > 0 ? `   and ${counted(left, "more place")}, ${restWords(passage, shown)}\n` : "",
  ].join("");
}

/** How a place compares with the model; of the model itself only that it is bare. */
function tailOf({ likeness }: MappedPlace, isModel: boolean): string {
  return isModel && likeness !== "bare" ? "" : likenessWords[likeness];
}

/** The first places, and of the others those that are unlike as far as there is room. */
function shownPlaces({ places }: MappedPassage): number[] {
  const all = places.map((_, k) => k);
  if (all.length <= mostPlaces) return all;
  const unlike = all.filter((k) => places[k]!.likeness === "unlike").slice(0, mostPlaces - 1);
  const others = all.filter((k) => !unlike.includes(k)).slice(0, mostPlaces - unlike.length);
  return [...unlike, ...others].sort((a, b) => a - b);
}

function restWords({ places }: MappedPassage, shown: readonly number[]): string {
  const rest = places.filter((_, k) => !shown.includes(k));
  const counts = (["alike", "in part", "unlike", "bare"] as const).flatMap((likeness) => {
    const count = rest.filter((place) => place.likeness === likeness).length;
    return count > 0 ? [`${count} ${likenessWords[likeness]}`] : [];
  });
  return counts.join(", ");
}

function headOf({ bars, hand, steps }: MappedPlace, kind: PassageKind): string {
  const off = steps === 0 ? "" : ` (${counted(Math.abs(steps), "string")} ${steps > 0 ? "up" : "down"})`;
  return `${bars}${kind === "otherHand" ? `, ${hand}` : ""}${off}`;
}

interface Table {
  readonly heads: readonly string[];
  readonly rows: readonly (readonly string[])[];
  readonly tails: readonly string[];
}

function notesRow({ notes }: MappedPassage): string[] {
  return notes.map((chord) => chord.join("+"));
}

function rowOf({ cells, likeness }: MappedPlace, { notes }: MappedPassage, isModel: boolean): string[] {
  return notes.map((_, m) => {
    const cell = cells[m];
    return cell && likeness !== "bare" ? `${cellText(cell)}${cell.differs && !isModel ? "*" : ""}` : "";
  });
}

/** `(4`, `3`, `1)`, `3+2+1`; a dot stands for a finger that is not printed. */
function cellText({ fingers, bracketStarts, bracketStops }: MappedCell): string {
  const digits = fingers.map((finger) => finger ?? ".").join("+");
  return `${bracketStarts ? "(" : ""}${digits}${bracketStops ? ")" : ""}`;
}

/** Columns under each other; a table too wide for a terminal goes on below itself. */
function tableLines({ heads, rows, tails }: Table): string[] {
  const indent = "   ";
  const headWidth = Math.max(...heads.map((head) => head.length));
  const widths = rows[0]!.map((_, column) => Math.max(...rows.map((row) => row[column]!.length)));
  const room = mostColumns - indent.length - headWidth - 2;
  const lines: string[] = [];
  for (let from = 0; from < widths.length; ) {
    let to = from;
    let width = 0;
    while (to < widths.length && (to === from || width + widths[to]! + 1 <= room)) {
      width += widths[to]! + 1;
      to += 1;
    }
    const isLast = to === widths.length;
    rows.forEach((row, i) => {
      const cells = row.slice(from, to).map((cell, k) => cell.padEnd(widths[from + k]!));
      const tail = isLast && tails[i] !== "" ? `  ${tails[i]}` : "";
      lines.push(`${indent}${heads[i]!.padEnd(headWidth)}  ${cells.join(" ")}${tail}`.trimEnd());
    });
    from = to;
  }
  return lines;
}
