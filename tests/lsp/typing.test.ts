import { SaxesParser } from "saxes";
import { afterEach, expect, test } from "vitest";
import type { PublishDiagnosticsParams } from "vscode-languageserver/node";
import { analyse } from "../../shared/service/analyse.ts";
import { largeScore } from "../support/largeScore.ts";
import { LspClient } from "../support/lspClient.ts";
import { processorMs, tellsMemory } from "../support/processMemory.ts";
import { Dice } from "../support/randomLines.ts";
import { randomChange, undoing } from "../support/randomTyping.ts";
import { type Change, offsetAt, ScriptedEditor } from "../support/scriptedEditor.ts";

let client: LspClient | undefined;

afterEach(() => client?.kill());

function saxesMs(text: string): number {
  const from = performance.now();
  new SaxesParser().write(text).close();
  return performance.now() - from;
}

/** So often typing pauses, for so long at most; the first pauses come while the server's code is still compiled. */
const pauses = 60;
const longestPauseMs = 500;
const fresh = 15;

/** A blank changes nothing in the music, a digit its fingering, a note's octave everything that is sought in it. */
type Keystroke = "blank" | "digit" | "note";

function keystroke(dice: Dice, text: string, kind: Keystroke): Change {
  const from = dice.whole(0, text.length - 20_000);
  if (kind === "blank") {
    const at = text.indexOf("<note>", from);
    return { start: at, end: at, text: " " };
  }
  const pattern = kind === "digit" ? /<fingering[^>]*>\d(?=<)/ : /<octave>\d(?=<)/;
  const { index, 0: found } = pattern.exec(text.slice(from))!;
  const end = from + index + found.length;
  return { start: end - 1, end, text: `${1 + (Number(text[end - 1]) % 4)}` };
}

test("500 keystrokes, pastes and undos in a large score: one text, and in the end its findings only", async () => {
  client = new LspClient();
  const editor = new ScriptedEditor(client, "file:///scores/large.musicxml", largeScore(1_000_000));
  expect(editor.text.length).toBeGreaterThan(1_000_000);
  await editor.initialize();
  await editor.open();
  const whole = editor.text;
  const dice = new Dice(31);
  const done: Change[] = [];
  let copied = "";
  const passes: number[] = [];
  for (let stroke = 0; stroke < 500; stroke += 1) {
    const near = 100_000;
    const last = done.at(-1);
    if (last && dice.whole(0, 9) < 3) {
      editor.change(last);
      done.pop();
    } else {
      const typed = randomChange(dice, editor.text, near, near + 5_000);
      const change = dice.whole(0, 9) === 0 ? { ...typed, text: copied } : typed;
      copied = editor.text.slice(near, near + dice.whole(0, 2_000));
      done.push(undoing(editor.text, change));
      editor.change(change);
    }
  }
  editor.change(...done.reverse());
  expect(editor.text).toBe(whole);
  await editor.diagnostics();
  const latencies: Record<Keystroke, number[]> = { blank: [], digit: [], note: [] };
  const worked: Record<Keystroke, number[]> = { blank: [], digit: [], note: [] };
  const workedMs = (): number => (tellsMemory ? processorMs(client!.processId) : 0);
  let last: PublishDiagnosticsParams | undefined;
  const inOrder: number[] = [];
  for (let round = 0; round < pauses; round += 1) {
    const kind = dice.oneOf(["blank", "digit", "note"] as const);
    await new Promise((resolve) => setTimeout(resolve, dice.whole(0, longestPauseMs)));
    const before = workedMs();
    editor.change(keystroke(dice, editor.text, kind));
    const from = performance.now();
    last = await editor.diagnostics();
    inOrder.push(performance.now() - from);
    latencies[kind].push(inOrder.at(-1)!);
    worked[kind].push(workedMs() - before);
    passes.push(saxesMs(editor.text));
  }
  // What is found after all the typing is what is found in the text as the editor has it.
  const { findings, problems } = analyse(editor.text);
  expect(problems).toEqual([]);
  expect(last!.version).toBe(editor.version);
  expect(last!.diagnostics.map(({ code, range }) => [code, offsetAt(editor.text, range.start)])).toEqual(
    findings.map(({ rule, span }) => [rule, span.start]),
  );
  const versions = client.received
    .filter(({ method }) => method === "textDocument/publishDiagnostics")
    .map(({ params }) => (params as PublishDiagnosticsParams).version!);
  expect(versions).toEqual([...versions].sort((a, b) => a - b));
  expect(versions.at(-1)).toBe(editor.version);
  const median = (all: readonly number[]): number =>
    [...all].sort((a, b) => a - b)[Math.floor(all.length / 2)]!;
  const ratio = median(inOrder) / median(passes);
  const listed = (times: Record<Keystroke, number[]>): string =>
    Object.entries(times)
      .map(([kind, each]) => `${kind} ${Math.round(median(each))}`)
      .join(", ");
  process.stderr.write(
    `findings after the last keystroke: median ${Math.round(median(inOrder))} ms (${listed(latencies)}; the first ${fresh} pauses ${Math.round(median(inOrder.slice(0, fresh)))}), ${ratio.toFixed(1)} times a bare saxes pass of ${Math.round(median(passes))} ms; processor time of the server: ${listed(worked)}\n`,
  );
  // Where blanks alone have changed nothing is sought again.
  if (tellsMemory) expect(Math.min(...worked.blank)).toBeLessThan(median(worked.digit) / 2);
  // Beside other work on the machine no time can be promised; so many passes over the text can.
  expect(ratio).toBeLessThan(40);
}, 240_000);
