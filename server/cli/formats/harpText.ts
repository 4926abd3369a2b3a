import type { HarpDemands, TuningDemands } from "../../../shared/service/harpDemands.ts";
import { moverWords, moveWords, startWords } from "../../../shared/service/harpWords.ts";
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
export function demandsText(demands: HarpDemands): string {
  const { moves, fewestMoves } = demands;
  const start = `Before the piece: ${startWords(demands)}.\n`;
  const rows = moves.map((move) => [
    `  for bar ${move.place.bar}, beat ${move.place.beat}`,
    moveWords(move),
    moverWords(move),
  ]);
  const changes =
    moves.length === 0 ? "Nothing changes in it.\n" : `${counted(moves.length, "change")}:\n${table(rows)}`;
  const saved =
    fewestMoves !== undefined && fewestMoves < moves.length
      ? `With notes on neighbouring strings that sound the same, ${fewestMoves === 0 ? "none is needed" : `${fewestMoves} would do`}.\n`
      : "";
  return start + changes + saved;
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
