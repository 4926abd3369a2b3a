// `npm start`: installs, builds, and shows on the demo pieces what Placewright does, by the commands a user would type.
import { spawnSync } from "node:child_process";
import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { build, install, root } from "./steps.mjs";

const program = "dist/cli.cjs";
const demo = "fixtures/demo";
const mostFindings = 8;

install();
build();
mkdirSync(join(root, "out"), { recursive: true });

title("What is wrong or doubtful in three demo pieces");
const checked = placewright("check", demo, "--min-severity", "warning");
show(checked.results.slice(0, mostFindings));
const more = checked.results.length - mostFindings;
if (more > 0) show([`... and ${more} more lines; run the command to see them.`]);
show(checked.beside);

title("A piece without fingering: the best one is found and written into a copy");
show(finger("millrace-reel", "--out", "out/millrace-reel.musicxml").beside);

title("A piece that is fingered in part: what is printed stays, the rest is added");
show(finger("evening-tide", "--out", "out/evening-tide.musicxml").beside);

title("Why these fingers, and what else: one bar, one hand");
const { results, caution } = finger("millrace-reel", "--bars", "1", "--hand", "right", "--explain");
const costs = results.findIndex((line) => line.startsWith("The whole fingering"));
show(results.slice(0, costs).filter((line) => line !== ""));

title("Done");
show([
  "The fingered scores are out/millrace-reel.musicxml and out/evening-tide.musicxml: open them in a notation editor.",
  `Your own score: node ${program} finger YOUR.musicxml --out FINGERED.musicxml`,
  `All commands:   node ${program} --help`,
  "",
  caution,
]);

/** Fingers a demo piece. The caution that ends what is said beside the results is kept for the end. */
function finger(piece, ...options) {
  const { results, beside } = placewright("finger", `${demo}/${piece}.musicxml`, ...options);
  return { results, beside: beside.slice(0, -1), caution: beside[beside.length - 1] };
}

/** Runs a command, printed as it would be typed; gives the lines of its results and of what it says beside them. */
function placewright(...args) {
  show([`$ node ${program} ${args.join(" ")}`]);
  const { status, stdout, stderr, error } = spawnSync(process.execPath, [program, ...args], {
    cwd: root,
    encoding: "utf8",
  });
  // 1 says that there were findings: that is what the demo pieces are for.
  if (error || (status !== 0 && status !== 1)) {
    console.error(error?.message ?? stderr);
    process.exit(2);
  }
  return { results: lines(stdout), beside: lines(stderr) };
}

function lines(text) {
  return text === "" ? [] : text.replace(/\n$/, "").split("\n");
}

function title(text) {
  show(["", text, "-".repeat(text.length)]);
}

function show(textLines) {
  for (const line of textLines) process.stdout.write(`${line}\n`);
}
