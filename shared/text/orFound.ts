/** What a map has for a key, or else what `find` gives, which it has from then on. */
export function orFound<K, V>(
  known: { get(key: K): V | undefined; set(key: K, value: V): unknown },
  key: K,
  find: () => V,
): V {
  let value = known.get(key);
  if (value === undefined) {
    value = find();
    known.set(key, value);
  }
  return value;
}
