import type { HarpDemands, Move, TuningDemands } from "../../../shared/service/harpDemands.ts";
import { counted, unitsText } from "../../../shared/service/words.ts";

/** A table of the tunings, the easiest marked. */
export function tuningsText(all: readonly TuningDemands[], easiest: TuningDemands): string {
  const rows = all.map((one) => [
    `${one === easiest ? "*" : " "} ${one.tuning.title}`,
    one.lacking.length === 0 ? "all" : `all but ${listed(one.lacking)}`,
    String(one.changes),
    String(one.withoutTime),
    String(one.whileRinging),
    unitsText(one.fingeringMilli),
  ]);
  return table([
    [
      "  open strings in",
      "notes",
      "lever changes",
      "without time",
      "while ringing",
      "fingering costs more by",
    ],
    ...rows,
  ]);
}

/** How the harp is set at the start, and every change in the order of playing. */
export function demandsText({ mechanism, leversUp = [], pedals, moves, fewestMoves }: HarpDemands): string {
  const start =
    mechanism === "lever"
      ? `Before the piece: ${leversUp.length === 0 ? "all levers down" : `levers up on ${leversUp.join(" ")}`}.\n`
      : `Before the piece: ${pedalsText(pedals!)}.\n`;
  const changes =
    moves.length === 0
      ? "Nothing changes in it.\n"
      : `${counted(moves.length, "change")}:\n${table(moves.map(row))}`;
  const saved =
    fewestMoves !== undefined && fewestMoves < moves.length
      ? `With notes on neighbouring strings that sound the same, ${fewestMoves === 0 ? "none is needed" : `${fewestMoves} would do`}.\n`
      : "";
  return start + changes + saved;
}

function row({ place, what, to, foot, before, inTime, rings }: Move): string[] {
  const when = before
    ? `left hand, before its ${before.notes.join("-")} in bar ${before.bar}, beat ${before.beat}`
    : foot
      ? `${foot} foot`
      : "left hand";
  const how = inTime ? (rings ? `${when}, while the string sounds` : when) : "no time for it";
  return [`  for bar ${place.bar}, beat ${place.beat}`, `${what} ${to}`, how];
}

/** The positions in the order of the pedals, the feet apart: D C B | E F G A. */
function pedalsText(pedals: readonly number[]): string {
  const shown = (letter: number): string => "CDEFGAB"[letter]! + ["b", "", "#"][pedals[letter]! + 1]!;
  return `${[1, 0, 6].map(shown).join(" ")} | ${[2, 3, 4, 5].map(shown).join(" ")}`;
}

function listed(names: readonly string[]): string {
  const most = 6;
  return names.length <= most
    ? names.join(" ")
    : `${names.slice(0, most).join(" ")} and ${names.length - most} more`;
}

function table(rows: readonly (readonly string[])[]): string {
  const widths = rows[0]!.map((_, column) => Math.max(...rows.map((cells) => cells[column]!.length)));
  return rows
    .map(
      (cells) =>
        `${cells
          .map((cell, i) => cell.padEnd(widths[i]!))
          .join("  ")
          .trimEnd()}\n`,
    )
    .join("");
}
