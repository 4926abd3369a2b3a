import { defaultTempo } from "../../../shared/score/timeline.ts";
import type { Analysis } from "../../../shared/service/analyse.ts";
import { shortened } from "../settingsOf.ts";

/** What was chosen for a score, and what stands where nothing was: names and values for a table. */
export function settingsWords(
  { harp, profile, instrument, settings, crossingStyle }: Analysis,
  files: readonly string[],
): (readonly [name: string, value: string])[] {
  const player = Object.entries(profile).map(([name, value]) =>
    typeof value === "object" ? `${name} ${JSON.stringify(value)}` : `${name} ${value}`,
  );
  const severities = Object.entries(settings.severity ?? {}).map(([rule, severity]) => `${rule} ${severity}`);
  return [
    ["files", files.length > 0 ? files.map(shortened).join(", ") : "none"],
    ["part", harp?.parts.map(({ id, name }) => name.trim() || id).join(", ") ?? "none"],
    ["player", player.length > 0 ? player.join(", ") : "usual"],
    ["harp", instrument ? `${instrument.harp.count} strings, ${instrument.harp.mechanism}` : "not said"],
    ["tempo where none is stated", `${settings.tempo ?? defaultTempo} quarter notes a minute`],
    ["crossings", crossingStyle ?? "as usual"],
    ["rules", severities.length > 0 ? severities.join(", ") : "each as grave as it is by itself"],
  ];
}
