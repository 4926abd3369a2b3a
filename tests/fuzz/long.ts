import { attackGuard, readBroken, writeInto } from "../support/attack.ts";
import { mutated } from "../support/mutations.ts";
import { Dice } from "../support/randomLines.ts";
import { seeds } from "./seeds.ts";

// Breaks scores for as long as it is told to, and says how each failure can be made again.
//   npm run fuzz -- --seconds 600 --seed 1 --bytes 200000

function option(name: string, otherwise: number): number {
  const at = process.argv.indexOf(`--${name}`);
  return at < 0 ? otherwise : Number(process.argv[at + 1]);
}

const seconds = option("seconds", 60);
const files = seeds(option("bytes", 200_000));
const end = Date.now() + seconds * 1000;
const counts = { copies: 0, refused: 0, read: 0, written: 0, guarded: 0 };
const failures = new Map<string, string>();

for (let seed = option("seed", 1); Date.now() < end; seed += 1) {
  for (const { name, bytes } of files) {
    if (Date.now() >= end) break;
    const dice = new Dice(seed);
    counts.copies += 1;
    try {
      const found = readBroken(mutated(bytes, dice));
      if (!found) {
        counts.refused += 1;
        continue;
      }
      counts.read += 1;
      if (!found.analysis.score.wellFormed) continue;
      if (dice.chance(0.5) && writeInto(found, dice)) counts.written += 1;
      if (dice.chance(0.2)) counts.guarded += attackGuard(found.file.text, dice, 10);
    } catch (error) {
      const message = error instanceof Error ? (error.stack ?? error.message) : String(error);
      const key = message.split("\n").slice(0, 3).join("\n").replace(/\d+/g, "n");
      if (!failures.has(key)) {
        failures.set(key, message);
        process.stdout.write(`${name}, seed ${seed}: ${message}\n\n`);
      }
    }
  }
}

process.stdout.write(
  `${JSON.stringify({ files: files.length, seconds, ...counts, failures: failures.size })}\n`,
);
process.exitCode = failures.size > 0 ? 1 : 0;
