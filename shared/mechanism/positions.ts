import type { Stringing } from "../harp/tunings.ts";
import { isLeverUp } from "./leverNeeds.ts";

export type PedalPosition = "flat" | "natural" | "sharp";
export type LeverPosition = "up" | "down";

/** @param alter in semitones, from -1 to 1. */
export function pedalPosition(alter: number): PedalPosition {
  return (["flat", "natural", "sharp"] as const)[alter + 1]!;
}

/** How the lever of a string stands when the string sounds an alteration, in semitones. */
export function leverPosition(stringing: Stringing, string: number, alter: number): LeverPosition {
  return isLeverUp(stringing, string, alter) ? "up" : "down";
}
