import type { FingerStay, Look, PanelHand } from "../../../shared/protocol/panel.ts";

/** How a finger stands at an instant. */
export type FingerState = "coming" | "placed" | "played";

export interface ShownFinger {
  readonly stay: FingerStay;
  readonly state: FingerState;
}

/** A finger that has plucked is shown until the hand's next event, but no longer than this. */
const playedMicros = 1_200_000;

/** The fingers of a hand at an instant: on their way, on the strings, just played. */
export function fingersAt({ stays, events }: PanelHand, micros: number): ShownFinger[] {
  const last = events.findLast(({ atMicros }) => atMicros <= micros)?.atMicros;
  const shown: ShownFinger[] = [];
  for (const stay of stays) {
    if (stay.comingMicros > micros) continue;
    if (stay.playedMicros > micros)
      shown.push({ stay, state: stay.setMicros <= micros ? "placed" : "coming" });
    else if (stay.playedMicros === last && micros - stay.playedMicros <= playedMicros)
      shown.push({ stay, state: "played" });
  }
  return withoutFar(shown);
}

/** Fingers of the two next placings at most: the one that is being played and the one that follows it. */
function withoutFar(shown: readonly ShownFinger[]): ShownFinger[] {
  const open = shown.filter(({ state }) => state !== "played");
  const nearest = Math.min(...open.map(({ stay }) => stay.placing));
  return shown.filter(({ stay, state }) => state === "played" || stay.placing <= nearest + 1);
}

/** The looks that are going on at an instant. */
export function looksAt({ looks }: PanelHand, micros: number): Look[] {
  return looks.filter(({ fromMicros, toMicros }) => fromMicros <= micros && micros < toMicros);
}
