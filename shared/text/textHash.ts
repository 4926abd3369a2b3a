const offsetBasis = 0xcbf29ce484222325n;
const prime = 0x100000001b3n;

/**
 * A short name for a text: 16 hexadecimal digits, the same for the same text everywhere. Not for secrets.
 * Source, from memory: Fowler, Noll and Vo, "The FNV Non-Cryptographic Hash Algorithm", FNV-1a of 64 bits, over UTF-8.
 */
export function textHash(text: string): string {
  let hash = offsetBasis;
  for (const byte of new TextEncoder().encode(text)) hash = BigInt.asUintN(64, (hash ^ BigInt(byte)) * prime);
  return hash.toString(16).padStart(16, "0");
}
