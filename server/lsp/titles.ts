import type { FingerRequest, FingerScope } from "../../shared/protocol/commands.ts";

const scopeTitles: Readonly<Record<FingerScope, string>> = {
  placing: "Finger this placing",
  bar: "Finger this bar",
  hand: "Finger this hand",
  score: "Finger the whole score",
};

/** What fingering a part of the score is called in menus and messages. */
export function fingerTitle({ scope, mode }: Pick<FingerRequest, "scope" | "mode">): string {
  return mode === "fresh" ? `${scopeTitles[scope]} anew` : scopeTitles[scope];
}

/** What making all safe repairs is called. */
export const fixAllTitle = "Make all safe repairs";

/** What making one repair wherever a rule offers it is called: `Remove this fingering: all 5 in this file`. */
export function fixRuleTitle(title: string, count?: number): string {
  return `${title}: all${count === undefined ? "" : ` ${count}`} in this file`;
}

/** What writing all marks of the harp's mechanism is called. */
export function writeMarksTitle(mechanism: "lever" | "pedal"): string {
  return `Write how the ${mechanism}s stand, and every change`;
}

/** What marking a finding as intended is called. */
export const acceptTitle = "Mark as intended";

/** The same where several rules have found something. */
export function acceptRuleTitle(rule: string): string {
  return `${acceptTitle} (${rule})`;
}

/** What the user is told when a change that they asked for is none. */
export function nothingToChange(title: string): string {
  return `${title}: there is nothing to change here.`;
}
