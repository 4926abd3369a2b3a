import { intervalName } from "../score/pitch.ts";
import { stopOnPain } from "./cautions.ts";
import type { HandFacts, LevelFacts, LeverFacts, Width } from "./level.ts";
import { counted } from "./words.ts";

/** The facts as a small table for people, a line each, with the caution that always holds as its last line. */
export function levelText(facts: LevelFacts): string {
  const rows = levelRows(facts);
  const width = Math.max(...rows.map(([name]) => name.length));
  return `${[...rows.map(([name, value]) => `  ${name.padEnd(width)}  ${value}`), `  ${stopOnPain}`].join("\n")}\n`;
}

/** The facts in words, each with its name. The caution that always holds goes with them. */
export function levelRows(facts: LevelFacts): readonly (readonly [name: string, value: string])[] {
  const { hands, tempo, rhythm, register } = facts;
  const each = (value: (hand: HandFacts) => string): string =>
    hands.map((hand) => `${hand.hand} ${value(hand)}`).join("; ");
  return [
    ...(facts.label === undefined ? [] : [["level", facts.label] as const]),
    [
      "notes",
      `${facts.notes} in ${counted(facts.bars, "bar")}, ${facts.printedFingers} with a printed finger`,
    ],
    ["tempo", tempoText(tempo)],
    ["fingers", each(({ fingers }) => fingers.join(" "))],
    ["widest struck", each(({ widest }) => widthText(widest.struck))],
    ["widest rolled", each(({ widest }) => widthText(widest.rolled))],
    ["widest in turn", each(({ widest }) => widthText(widest.inTurn))],
    ["crossings", each(crossingsText)],
    ["turns", each(({ joints }) => String(joints.overlap))],
    ["stays on the strings", each(connectedText)],
    ["shortest re-placing", each(replacingText)],
    ["both hands look", counted(facts.bothHandsLook, "time")],
    ["independent rhythms", `${rhythm.independentBars} of ${counted(rhythm.bars, "bar")} with both hands`],
    ["register", `${register.lowest} to ${register.highest}, ${counted(register.strings, "string")}`],
    ["harmonics", each(({ harmonics }) => String(harmonics))],
    ...(facts.levers ? [["lever changes", leversText(facts.levers)] as const] : []),
  ];
}

function leversText({ changes, shortest, withoutTime }: LeverFacts): string {
  if (!shortest) return "none";
  const late = withoutTime > 0 ? `, ${withoutTime} without time` : "";
  return `${changes}, the least time ${(shortest.milliseconds / 1000).toFixed(2)} s (bar ${shortest.bar})${late}`;
}

function tempoText({ slowest, fastest, stated }: LevelFacts["tempo"]): string {
  const range = slowest === fastest ? `${round(slowest)}` : `${round(slowest)} to ${round(fastest)}`;
  return `${range} quarter notes a minute${stated ? "" : ", assumed"}`;
}

const round = (value: number): number => Math.round(value * 10) / 10;

function widthText(width: Width | undefined): string {
  return width ? `${intervalName(width.steps)} (bar ${width.bar})` : "none";
}

function crossingsText({ crossings }: HandFacts): string {
  const kinds = Object.entries(crossings).map(([kind, count]) => `${count} of ${kind}`);
  return kinds.length > 0 ? kinds.join(", ") : "none";
}

function connectedText({ connectedShare, joints }: HandFacts): string {
  if (connectedShare === undefined) return "has one placing";
  const all = joints.separate + joints.overlap + joints.cross;
  return `${Math.round(connectedShare * 100)}% of ${counted(all, "joint")}`;
}

function replacingText({ shortestReplacing: found }: HandFacts): string {
  return found ? `${(found.milliseconds / 1000).toFixed(2)} s (bar ${found.bar})` : "never";
}
