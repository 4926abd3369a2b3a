/**
 * What coming off and placing one to four fingers nearby takes in comfort. From memory: an estimate, no source.
 */
export const replaceMicros = 450_000;

/** `0.3 s`, `1.25 s`: to a hundredth of a second. */
export function secondsText(micros: number): string {
  return `${Number((micros / 1_000_000).toFixed(2))} s`;
}
