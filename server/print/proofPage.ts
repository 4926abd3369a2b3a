import type { Severity } from "../../shared/rules/define.ts";
import { stopOnPain } from "../../shared/service/cautions.ts";
import type { HarpDemands } from "../../shared/service/harpDemands.ts";
import { moverWords, moveWords, startWords } from "../../shared/service/harpWords.ts";
import { levelRows } from "../../shared/service/levelText.ts";
import type { ProofFinding, ProofView } from "../../shared/service/proofView.ts";
import { counted } from "../../shared/service/words.ts";
import type { Engraver } from "./engraver.ts";
import { engravedCss, markedPicture, musicFont, type NumberedMark } from "./markedPicture.ts";
import { html, page } from "./page.ts";

const proofCss = `
.system { break-inside: avoid; margin: 0 0 6px; }
.system svg { width: 100%; height: auto; }
td.number { white-space: nowrap; font-weight: 600; }
td.place { white-space: nowrap; }
.sign { display: inline-block; min-width: 1.5em; text-align: center; border: 1.5px solid #333; padding: 0 .2em; }
.sign.info { border-radius: 1em; }
.sign.warning { background: #ffd54d; }
.sign.error { background: #b3261e; border-color: #b3261e; color: #fff; }
pre { font-size: 7.4pt; line-height: 1.3; white-space: pre-wrap; break-inside: avoid; margin: .4em 0; }
dl { margin: 0; } dt { font-weight: 600; break-after: avoid; } dd { margin: 0 0 .4em; }
`;

/** What a proof says beside what was found. */
export interface ProofNames {
  readonly path: string;
  /** What was chosen for the score, in words. */
  readonly settings: readonly (readonly [name: string, value: string])[];
  /** The tables of what comes back. */
  readonly passages: readonly string[];
}

/** A proof of one score: engraved with numbered marks, and below all that was found. */
export function proofPage(view: ProofView, names: ProofNames, engraver: Engraver): string {
  const { title, music, findings, whys, accepted, level, passages } = view;
  const systems = engraver.systems(music.engraving);
  const marks = marksOf(findings);
  const pictures = systems.map(
    (picture) => markedPicture(picture, { brackets: music.brackets, marks, tinted: [] }).svg,
  );
  const heading = title || names.path;
  const body = [
    `<h1>${html(heading)}</h1>`,
    `<p class="quiet">Proof of ${html(names.path)}. ${html(summary(findings))} Numbers in the music are those of the list below it: a filled box is an error, a box a warning, a ring a remark.</p>`,
    ...pictures.map((svg) => `<div class="system">${svg}</div>`),
    `<h2>Found</h2>`,
    findings.length === 0 ? "<p>Nothing.</p>" : findingTable(findings),
    ...(whys.length > 0
      ? [
          `<h2>Why it matters</h2><dl>${whys.map(({ rule, why }) => `<dt>${html(rule)}</dt><dd>${html(why)}</dd>`).join("")}</dl>`,
        ]
      : []),
    ...(accepted.length > 0
      ? [
          `<h2>Accepted</h2>`,
          table(
            ["Bar", "What was found", "Why it is meant to be so"],
            accepted.map(({ bar, rule, message, reason }) => [bar ?? "", `${rule}: ${message}`, reason]),
          ),
        ]
      : []),
    ...(view.harp ? mechanismSection(view.harp) : []),
    `<h2>What comes back</h2>`,
    ...(names.passages.length > 0
      ? names.passages.map((each) => `<pre>${html(each)}</pre>`)
      : ["<p>Nothing.</p>"]),
    ...passages.messages.map((message) => `<p>${html(message)}</p>`),
    ...(level ? [`<h2>For the hands</h2>`, table(["", ""], levelRows(level))] : []),
    `<p class="caution">${html(stopOnPain)}</p>`,
    `<h2>Settings</h2>`,
    table(["", ""], names.settings),
    ...remarks(
      "Not read as it should be",
      view.problems.map(({ message }) => message),
    ),
    ...remarks("Taken for granted", view.assumptions),
  ].join("\n");
  const fonts = new Set(systems.flatMap((picture) => musicFont(picture) ?? []));
  return page(`${heading}: proof`, `${engravedCss}${proofCss}${[...fonts].join("")}`, body);
}

function summary(findings: readonly ProofFinding[]): string {
  const count = (severity: Severity): number =>
    findings.filter((finding) => finding.severity === severity).length;
  return `${counted(count("error"), "error")}, ${counted(count("warning"), "warning")}, ${counted(count("info"), "remark")}.`;
}

/** Numbers of findings at the same notes share a mark, as grave as the gravest of them. */
function marksOf(findings: readonly ProofFinding[]): NumberedMark[] {
  const places = new Map<string, ProofFinding[]>();
  for (const finding of findings) {
    if (finding.notes.length === 0) continue;
    const key = finding.notes.join(" ");
    places.set(key, [...(places.get(key) ?? []), finding]);
  }
  return [...places.values()].map((own) => ({
    label: own.map(({ number }) => number).join(","),
    notes: own[0]!.notes,
    hand: own[0]!.hand ?? "right",
    severity: own.some(({ severity }) => severity === "error")
      ? "error"
      : own.some(({ severity }) => severity === "warning")
        ? "warning"
        : "info",
  }));
}

function findingTable(findings: readonly ProofFinding[]): string {
  const rows = findings.map(({ number, severity, bar, beat, hand, rule, message, otherBars }) => {
    const place = [bar && `bar ${bar}`, beat && `beat ${beat}`, hand].filter((each) => each !== undefined);
    const others =
      otherBars.length > 0 ? ` <span class="quiet">See also bar ${html(otherBars.join(", "))}.</span>` : "";
    return `<tr><td class="number"><span class="sign ${severity}">${number}</span></td><td class="place">${html(place.join(", "))}</td><td>${html(message)}${others} <span class="quiet">${severity === "info" ? "remark" : severity}, ${html(rule)}</span></td></tr>`;
  });
  return `<table><thead><tr><th>No.</th><th>Where</th><th>What</th></tr></thead><tbody>${rows.join("")}</tbody></table>`;
}

/** How the harp is set before the piece, every change in the order of playing, and what cannot be made. */
function mechanismSection(demands: HarpDemands): string[] {
  const { mechanism, moves, lacking } = demands;
  const late = moves.filter(({ inTime }) => !inTime);
  const cannot = [
    ...late.map((move) => `bar ${move.place.bar}, beat ${move.place.beat}: no time for ${moveWords(move)}`),
    ...lacking.map(
      ({ place, hand, notes }) =>
        `bar ${place.bar}, beat ${place.beat}, ${hand} hand: ${notes.join(" ")} cannot be had${notes.length > 1 ? " together" : ""}`,
    ),
  ];
  return [
    `<h2>${mechanism === "pedal" ? "Pedals" : "Levers"}</h2>`,
    `<p>Before the piece: ${html(startWords(demands))}.</p>`,
    moves.length === 0
      ? "<p>Nothing changes in it.</p>"
      : table(
          ["Bar", "Beat", "Change", "Who and when"],
          moves.map((move) => [move.place.bar, move.place.beat, moveWords(move), moverWords(move)]),
        ),
    ...(cannot.length === 0
      ? []
      : [
          `<h3>What could not be made</h3>`,
          `<ul>${cannot.map((each) => `<li>${html(each)}</li>`).join("")}</ul>`,
        ]),
    `<p class="quiet">How long a hand or a foot needs is an estimate.</p>`,
  ];
}

function table(heads: readonly string[], rows: readonly (readonly string[])[]): string {
  const head = heads.some((each) => each !== "")
    ? `<thead><tr>${heads.map((each) => `<th>${html(each)}</th>`).join("")}</tr></thead>`
    : "";
  const body = rows.map((row) => `<tr>${row.map((cell) => `<td>${html(cell)}</td>`).join("")}</tr>`);
  return `<table>${head}<tbody>${body.join("")}</tbody></table>`;
}

function remarks(heading: string, sentences: readonly string[]): string[] {
  if (sentences.length === 0) return [];
  return [`<h2>${heading}</h2><ul>${sentences.map((each) => `<li>${html(each)}</li>`).join("")}</ul>`];
}

/** A row of an index: one piece. */
export interface IndexRow {
  readonly path: string;
  readonly title: string;
  /** Of its proof, from the index; undefined for a piece that could not be read. */
  readonly href: string | undefined;
  readonly errors: number;
  readonly warnings: number;
  readonly remarks: number;
  readonly accepted: number;
  /** The name of its level, its notes and its bars; or why it could not be read. */
  readonly level: string;
}

/** A page that leads to the proofs of several pieces. */
export function indexPage(rows: readonly IndexRow[]): string {
  const cells = rows.map(({ path, title, href, errors, warnings, remarks: infos, accepted, level }) => {
    const name = html(title || path);
    const link = href === undefined ? name : `<a href="${html(href)}">${name}</a>`;
    const counts = [errors, warnings, infos, accepted].map((count) => `<td>${count === 0 ? "" : count}</td>`);
    return `<tr><td>${link}<br><span class="quiet">${html(path)}</span></td>${counts.join("")}<td>${html(level)}</td></tr>`;
  });
  const body = [
    "<h1>Proofs</h1>",
    `<p>${counted(rows.length, "piece")}.</p>`,
    `<table><thead><tr><th>Piece</th><th>Errors</th><th>Warnings</th><th>Remarks</th><th>Accepted</th><th>For the hands</th></tr></thead><tbody>${cells.join("")}</tbody></table>`,
    `<p class="caution">${html(stopOnPain)}</p>`,
  ].join("\n");
  return page("Proofs", "", body);
}
