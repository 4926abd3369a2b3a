/** An exact fraction in lowest terms, denominator above 0. Times and lengths count quarter notes. */
export interface Rational {
  readonly n: number;
  readonly d: number;
}

export const zero: Rational = { n: 0, d: 1 };

/**
 * The fraction n/d. Exact while both stay below 2^53; beyond that (no score comes near) the nearest fraction with a
 * denominator of 2^20, and beyond 2^32 the nearest whole number that is still exact.
 * @throws RangeError for d = 0 or anything that is not finite.
 */
export function rational(n: number, d = 1): Rational {
  if (d === 0 || !Number.isFinite(n) || !Number.isFinite(d))
    throw new RangeError(`not a fraction: ${n}/${d}`);
  if (d < 0) return rational(-n, -d);
  if (n === 0) return zero;
  if (!Number.isSafeInteger(n) || !Number.isSafeInteger(d)) {
    const value = n / d;
    if (Math.abs(value) < 2 ** 32) return rational(Math.round(value * 2 ** 20), 2 ** 20);
    const most = Number.MAX_SAFE_INTEGER;
    return { n: Math.max(-most, Math.min(most, Math.round(value))), d: 1 };
  }
  if (d === 1) return { n, d };
  const shared = greatestCommonDivisor(Math.abs(n), d);
  return { n: n / shared, d: d / shared };
}

export function add(a: Rational, b: Rational): Rational {
  if (a.n === 0) return b;
  if (b.n === 0) return a;
  return a.d === b.d ? rational(a.n + b.n, a.d) : rational(a.n * b.d + b.n * a.d, a.d * b.d);
}

export function subtract(a: Rational, b: Rational): Rational {
  return add(a, { n: -b.n, d: b.d });
}

/** @throws RangeError when b is 0. */
export function divide(a: Rational, b: Rational): Rational {
  return rational(a.n * b.d, a.d * b.n);
}

/** Below 0 when a < b, above 0 when a > b. */
export function compare(a: Rational, b: Rational): number {
  return a.d === b.d ? a.n - b.n : a.n * b.d - b.n * a.d;
}

export function equal(a: Rational, b: Rational): boolean {
  return a.n === b.n && a.d === b.d;
}

export function larger(a: Rational, b: Rational): Rational {
  return compare(a, b) >= 0 ? a : b;
}

export function toNumber(a: Rational): number {
  return a.n / a.d;
}

/** As people write it: `3`, `7/2`. */
export function format(a: Rational): string {
  return a.d === 1 ? String(a.n) : `${a.n}/${a.d}`;
}

/** Reads a decimal number such as `24` or `0.5`; undefined for anything else. */
export function parseDecimal(text: string | undefined): Rational | undefined {
  if (text === undefined) return undefined;
  const match =
    /^\s*([+-]?)(\d{1,12})(?:\.(\d{0,9}))?\s*$/.exec(text) ?? /^\s*([+-]?)()\.(\d{1,9})\s*$/.exec(text);
  if (!match) return undefined;
  const decimals = match[3] ?? "";
  const value = Number(`${match[2]}${decimals}`);
  return rational(match[1] === "-" ? -value : value, 10 ** decimals.length);
}

function greatestCommonDivisor(a: number, b: number): number {
  let x = a;
  let y = b;
  while (y !== 0) [x, y] = [y, x % y];
  return x;
}
