/**
 * From the middle of one string to the middle of the next, in millimetres. The steps of the stretch tables are meant at
 * this spacing, which is the usual one at middle C.
 */
export const usualSpacingMm = 15;

/**
 * How the spacing of a graduated harp widens towards the bass, by string index: about 13 to 14 mm in the top octave, 15
 * to 17 mm in the bass, about 14.5 to 16 mm at middle C.
 * Source: heartlandharps.com and cindyblevinsmusic.com on string spacing; the values between are interpolated.
 */
const graduation: readonly (readonly [string: number, mm: number])[] = [
  [7, 17],
  [14, 16],
  [28, usualSpacingMm],
  [42, 14],
  [49, 13.5],
  [53, 13],
];

/**
 * The usual spacing around a string of a graduated harp, in millimetres.
 * @param atMiddleCMm the harp's spacing at middle C; the other strings keep their proportion to it.
 */
export function spacingAtMm(string: number, atMiddleCMm = usualSpacingMm): number {
  const [first, last] = [graduation[0]!, graduation[graduation.length - 1]!];
  const inside = Math.min(last[0], Math.max(first[0], string));
  const above = graduation.findIndex(([from]) => from >= inside);
  const [high, highMm] = graduation[above]!;
  const [low, lowMm] = graduation[Math.max(0, above - 1)]!;
  const usual = high === low ? highMm : lowMm + ((highMm - lowMm) * (inside - low)) / (high - low);
  return (usual * atMiddleCMm) / usualSpacingMm;
}

/** Spacings that harps have, in millimetres; under 12.5 a harp can hardly be played (heartlandharps.com). */
export const spacingLimitsMm = { least: 10, most: 20 } as const;
