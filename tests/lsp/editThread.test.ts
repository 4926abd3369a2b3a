import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { EditThread, type EditWork } from "../../server/lsp/editThread.ts";
import type { Question } from "../../server/lsp/threadWork.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { fingerAt } from "../../shared/service/fingerAt.ts";
import { InputError } from "../../shared/text/problem.ts";
import { builtFile } from "../support/built.ts";
import { temporaryFolder } from "../support/commandLine.ts";
import { demoText } from "../support/demo.ts";

/** A bundle that answers with its text as an edit, says no, or never comes to an end. */
function fakeBundle(): string {
  const file = join(temporaryFolder(), "bundle.cjs");
  writeFileSync(
    file,
    `const { parentPort } = require("node:worker_threads");
    parentPort.on("message", ({ text }) => {
      parentPort.postMessage({ stage: "on it: " + text });
      if (text === "never ends") for (;;);
      if (text === "ends it") process.exit(3);
      if (text === "cannot be") parentPort.postMessage({ refused: "Put the cursor elsewhere." });
      else if (text === "fails") parentPort.postMessage({ trouble: "a bug" });
      else parentPort.postMessage({ edits: [{ span: { start: 0, end: 0 }, text }] });
    });`,
  );
  return file;
}

const question = (text: string): Question => ({
  uri: "file:///a",
  text,
  settings: {},
  work: { does: "fixAll", choice: "safe" },
});

/** Work that writes down its stages, and what calls it off. */
function watched(): EditWork & { stages: string[]; end: () => void } {
  const work = {
    stages: [] as string[],
    end: () => {},
    stage: (stage: string) => void work.stages.push(stage),
    onCancelled: (end: () => void) => {
      work.end = end;
    },
  };
  return work;
}

test("the built bundle finds in its thread the edits that are found without one", async () => {
  const thread = new EditThread(builtFile("server.cjs"));
  const text = demoText("millrace-reel");
  const work = watched();
  const asked = { does: "finger", offset: 0, scope: "score", mode: "keep" } as const;
  const found = await thread.run({ uri: "file:///a", text, settings: {}, work: asked }, work);
  expect(found!.edits.length).toBeGreaterThan(100);
  expect(found!.edits).toEqual(fingerAt(analyse(text), 0, "score", "keep"));
  expect(work.stages).toEqual([
    "reading the score",
    "looking for the best fingering",
    "making sure that nothing else changes",
  ]);
  const nowhere = { ...asked, scope: "placing" } as const;
  const refused = thread.run({ uri: "file:///a", text, settings: {}, work: nowhere }, watched());
  await expect(refused).rejects.toThrow(InputError);
  await expect(refused).rejects.toThrow("Put the cursor in a <note> of the harp.");
});

test("what is called off ends although it never would, and the next command is done", async () => {
  const thread = new EditThread(fakeBundle());
  const [endless, queued, last] = [watched(), watched(), watched()];
  const answers = [
    thread.run(question("never ends"), endless),
    thread.run(question("queued"), queued),
    thread.run(question("last"), last),
  ];
  await expect.poll(() => endless.stages, { timeout: 20_000 }).toEqual(["on it: never ends"]);
  queued.end();
  endless.end();
  const [first, second, third] = await Promise.all(answers);
  expect([first, second]).toEqual([undefined, undefined]);
  expect(third!.edits[0]!.text).toBe("last");
  expect(queued.stages).toEqual([]);
});

test("a thread that ends or fails costs one answer", async () => {
  const thread = new EditThread(fakeBundle(), 20);
  const answers = await Promise.allSettled(
    ["ends it", "fails", "cannot be", "fine"].map((text) => thread.run(question(text), watched())),
  );
  const reasons = answers.map((answer) => (answer.status === "rejected" ? String(answer.reason) : "done"));
  expect(reasons).toEqual([
    "Error: the thread that looked for edits ended: it was ended",
    "Error: a bug",
    "InputError: Put the cursor elsewhere.",
    "done",
  ]);
  await expect.poll(() => thread.isRunning, { timeout: 10_000 }).toBe(false);
});
