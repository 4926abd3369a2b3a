import { spawnSync } from "node:child_process";
import { XMLParser } from "fast-xml-parser";
import { parse } from "musicxml-io";
import { SaxesParser } from "saxes";
import { decodeScoreFile } from "../../shared/musicxml/scoreFile.ts";
import { readScore } from "../../shared/score/readScore.ts";
import { corpusFiles } from "../support/corpus.ts";
import { generatedScore } from "../support/generatedScore.ts";

// What reading a score costs, beside other readers. Times of one run, on one machine, one after another in turns: their
// ratios say more than they do.

const contenders = {
  "saxes, bare": (text: string) => {
    new SaxesParser({ position: true }).write(text).close();
  },
  "this reader": (text: string) => {
    readScore(text);
  },
  "fast-xml-parser, tree": (text: string) => {
    new XMLParser({ preserveOrder: true, ignoreAttributes: false, parseTagValue: false }).parse(text);
  },
  "musicxml-io, model": (text: string) => {
    parse(text);
  },
} as const;
type Contender = keyof typeof contenders;

/** The best of several rounds of each, in turns, in milliseconds. */
function measure(text: string, rounds: number): Map<Contender, number> {
  const best = new Map<Contender, number>();
  for (let round = 0; round < rounds; round += 1) {
    for (const [name, read] of Object.entries(contenders) as [Contender, (text: string) => void][]) {
      const before = performance.now();
      read(text);
      best.set(name, Math.min(best.get(name) ?? Number.POSITIVE_INFINITY, performance.now() - before));
    }
  }
  return best;
}

/** What a process needs at most for a score of this length, beyond what it needs without: in bytes. */
function memoryOf(length: number): number {
  const run = (argument: string): number => {
    const { stdout } = spawnSync(process.execPath, [process.argv[1]!, argument], { encoding: "utf8" });
    return Number(stdout) * 1024;
  };
  return run(`--memory=${length}`) - run("--memory=0");
}

function say(line: string): void {
  process.stdout.write(`${line}\n`);
}

const memoryArgument = process.argv.find((argument) => argument.startsWith("--memory="));
if (memoryArgument) {
  const length = Number(memoryArgument.slice("--memory=".length));
  // The text as it comes from a file, so that making it is not counted.
  const bytes = Buffer.from(generatedScore(length));
  globalThis.gc?.();
  const { score } = readScore(decodeScoreFile(bytes).text);
  if (score.parts.length === 0) throw new Error("The generated score was not read.");
  say(String(process.resourceUsage().maxRSS));
} else {
  const texts: [string, string, number][] = [0.3, 3, 30].map((megabytes) => [
    `generated, ${megabytes} MB`,
    generatedScore(megabytes * 1e6),
    megabytes > 10 ? 3 : megabytes > 1 ? 7 : 25,
  ]);
  const biggest = corpusFiles()
    .map((file) => ({ path: file.path, text: decodedOr(file.bytes()) }))
    .reduce((a, b) => (b.text.length > a.text.length ? b : a), { path: "", text: "" });
  if (biggest.text) texts.push([biggest.path, biggest.text, 3]);
  else say("../shared/corpus is not there: only generated scores.");

  measure(texts[0]![1], 20);
  const perMegabyte: number[] = [];
  say("milliseconds, and how many times the bare pass of saxes:");
  for (const [name, text, rounds] of texts) {
    const times = measure(text, rounds);
    const bare = times.get("saxes, bare")!;
    const own = times.get("this reader")!;
    const cells = [...times].map(([who, time]) => `${who} ${time.toFixed(0)} (${(time / bare).toFixed(2)})`);
    say(
      `  ${name}: ${cells.join(", ")}; musicxml-io takes ${(times.get("musicxml-io, model")! / own).toFixed(1)} times this reader`,
    );
    if (name.startsWith("generated")) perMegabyte.push(own / (text.length / 1e6));
  }
  say(
    `this reader, milliseconds a megabyte from 0.3 to 30 MB: ${perMegabyte.map((time) => time.toFixed(1)).join(", ")}`,
  );
  const length = 30e6;
  say(`memory for 30 MB: ${(memoryOf(length) / length).toFixed(1)} times the file`);
}

function decodedOr(bytes: Uint8Array): string {
  try {
    return decodeScoreFile(bytes).text;
  } catch {
    return "";
  }
}
