import { createHash } from "node:crypto";
import { mkdir, stat } from "node:fs/promises";
import { basename, dirname, join, resolve } from "node:path";
import { type Analysis, analyse } from "../../shared/service/analyse.ts";
import { passageMap } from "../../shared/service/passageMap.ts";
import { type ProofView, proofView } from "../../shared/service/proofView.ts";
import { counted } from "../../shared/service/words.ts";
import { InputError } from "../../shared/text/problem.ts";
import { fileTrouble } from "../files/fileTrouble.ts";
import { replaceFile } from "../files/replaceFile.ts";
import { Engraver } from "../print/engraver.ts";
import { type IndexRow, indexPage, proofPage } from "../print/proofPage.ts";
import type { Arguments } from "./arguments.ts";
import { ProgressLine } from "./checking/progressLine.ts";
import type { Command, ExitCode } from "./command.ts";
import { findScores } from "./findScores.ts";
import { checkText } from "./formats/checkText.ts";
import { passagesText } from "./formats/passagesText.ts";
import { settingsWords } from "./formats/settingsWords.ts";
import { HouseCheck, houseOptions } from "./houseCheck.ts";
import { readInput, standardInput } from "./readInput.ts";
import { CallSettings, playerOptions } from "./settingsOf.ts";
import { programOf, type Terminal } from "./terminal.ts";

export const report: Command = {
  name: "report",
  operands: "PATH...",
  summary: "Write a proof to print: engraved, with numbered marks, and all that was found.",
  description:
    "Writes a page for each score, which needs nothing beside it: the engraved score with numbered marks, what was\n" +
    "found and why, what comes back and how it is fingered, what it asks of the hands, exceptions and settings. For a\n" +
    "folder or several scores there is an index, with a row a piece.",
  options: {
    out: { value: "FILE|FOLDER", help: "Where to write: a page for one score, a folder for several." },
    ...houseOptions,
    ...playerOptions,
  },
  examples: [
    "placewright report song.musicxml --out song-proof.html",
    "placewright report scores --out proofs",
  ],
  run,
};

async function run(args: Arguments, terminal: Terminal): Promise<ExitCode> {
  const house = new HouseCheck(args, terminal);
  try {
    const code = await runWith(house, args, terminal);
    const troubles = house.takeTroubles();
    for (const file of troubles) terminal.err(checkText(file));
    return troubles.length > 0 ? 2 : code;
  } finally {
    await house.end();
  }
}

async function runWith(house: HouseCheck, args: Arguments, terminal: Terminal): Promise<ExitCode> {
  const out = args.value("out");
  if (args.operands.length === 0 || out === undefined) {
    throw new InputError("Name a score and where its proof goes: placewright report PATH --out FILE.html");
  }
  const settings = new CallSettings(args);
  const { files, troubles } = await findScores(args.operands);
  const proofs = new Proofs(settings, house, terminal);
  const [only, ...others] = files;
  if (
    only !== undefined &&
    others.length === 0 &&
    troubles.length === 0 &&
    (await isFile(args.operands[0]!))
  ) {
    const proof = await proofs.of(only);
    await replaceFile(out, Buffer.from(proof.page));
    terminal.err(`${only}: proof written to ${out}.\n`);
    return proof.isWhole ? 0 : 2;
  }
  if (/\.html?$/i.test(out)) {
    throw new InputError(`There are several scores, and ${out} is one page. Name a folder: --out proofs`);
  }
  return writeAll(files, troubles, out, proofs, terminal);
}

async function isFile(path: string): Promise<boolean> {
  if (path === standardInput) return true;
  return (await stat(path)).isFile();
}

async function writeAll(
  files: readonly string[],
  troubles: readonly { readonly path: string; readonly message: string }[],
  folder: string,
  proofs: Proofs,
  terminal: Terminal,
): Promise<ExitCode> {
  await mkdir(folder, { recursive: true }).catch((error) => {
    throw new InputError(fileTrouble(error, folder));
  });
  const rows: IndexRow[] = troubles.map(({ path, message }) => unreadRow(path, message));
  const progress = new ProgressLine(terminal, files.length);
  let isWhole = troubles.length === 0;
  for (const [i, path] of files.entries()) {
    progress.show(i, path);
    try {
      const proof = await proofs.of(path);
      const name = pageName(path);
      await replaceFile(join(folder, name), Buffer.from(proof.page));
      rows.push(rowOf(path, name, proof.view));
      isWhole &&= proof.isWhole;
    } catch (error) {
      const message = error instanceof Error ? error.message : String(error);
      rows.push(unreadRow(path, message));
      terminal.err(`${path}: ${message}\n`);
      isWhole = false;
    }
  }
  progress.show(files.length);
  const index = join(folder, "index.html");
  await replaceFile(index, Buffer.from(indexPage(rows)));
  terminal.err(`${counted(files.length, "score")}: proofs written to ${index}.\n`);
  return isWhole ? 0 : 2;
}

/** Scores of one name in several folders have pages of their own, and each page keeps its name. */
function pageName(path: string): string {
  const place = createHash("sha256")
    .update(dirname(resolve(path)))
    .digest("hex")
    .slice(0, 6);
  return `${basename(path).replace(/[^\w.-]+/g, "-")}.${place}.html`;
}

interface Proof {
  readonly view: ProofView;
  readonly page: string;
  /** Nothing of the score could not be read. */
  readonly isWhole: boolean;
}

/** Makes proofs. The engraver is started once, when the first score has been read. */
class Proofs {
  readonly #settings: CallSettings;
  readonly #house: HouseCheck;
  readonly #terminal: Terminal;
  #engraver: Promise<Engraver> | undefined;

  constructor(settings: CallSettings, house: HouseCheck, terminal: Terminal) {
    this.#settings = settings;
    this.#house = house;
    this.#terminal = terminal;
  }

  /** @throws InputError when the score cannot be read or has no harp part. */
  async of(path: string): Promise<Proof> {
    const { name, bytes, text } = await readInput(path, this.#terminal);
    const found = this.#settings.foundFor(path);
    const analysis: Analysis = analyse(text, await this.#house.settingsWith(found, bytes));
    const view = proofView(analysis, await this.#house.pages(found.plugins));
    this.#engraver ??= Engraver.start(programOf(this.#terminal));
    const names = {
      path: name,
      settings: settingsWords(
        analysis,
        found.files.map((file) => file.path),
      ),
      passages: passagesText(passageMap(analysis)).split(/\n\n(?=\S)/),
    };
    return {
      view,
      page: proofPage(view, names, await this.#engraver),
      isWhole: analysis.problems.every(({ severity }) => severity !== "error"),
    };
  }
}

function rowOf(path: string, href: string, view: ProofView): IndexRow {
  const count = (wanted: string): number =>
    view.findings.filter(({ severity }) => severity === wanted).length;
  const { level } = view;
  return {
    path,
    title: view.title,
    href,
    errors: count("error"),
    warnings: count("warning"),
    remarks: count("info"),
    accepted: view.accepted.length,
    level: level
      ? [level.label, counted(level.notes, "note"), counted(level.bars, "bar")]
          .filter((each) => each !== undefined)
          .join(", ")
      : "plays nothing",
  };
}

function unreadRow(path: string, message: string): IndexRow {
  return {
    path,
    title: "",
    href: undefined,
    errors: 1,
    warnings: 0,
    remarks: 0,
    accepted: 0,
    level: `not read: ${message}`,
  };
}
