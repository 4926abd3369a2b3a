/**
 * Makes plain data unchangeable, down to its last part: what one rule looks at, the next one looks at too. A module of
 * rules is strict code, in which an attempt to change it throws. Objects of classes, and what is in maps, are left alone.
 * @returns the same data.
 */
export function frozen<T>(data: T): T {
  const waiting: unknown[] = [data];
  while (waiting.length > 0) {
    const next = waiting.pop();
    if (!isPlain(next) || Object.isFrozen(next)) continue;
    Object.freeze(next);
    for (const { value } of Object.values(Object.getOwnPropertyDescriptors(next))) waiting.push(value);
  }
  return data;
}

function isPlain(value: unknown): value is object {
  if (typeof value !== "object" || value === null) return false;
  const prototype: unknown = Object.getPrototypeOf(value);
  return prototype === Object.prototype || prototype === Array.prototype;
}
