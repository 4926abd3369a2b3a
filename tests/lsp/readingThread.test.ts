import { existsSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { finding, proposing, ReadingThread } from "../../server/lsp/readingThread.ts";
import { analyse } from "../../shared/service/analyse.ts";
import { proposals } from "../../shared/service/proposal.ts";
import { builtFile } from "../support/built.ts";
import { temporaryFolder } from "../support/commandLine.ts";
import { demoText } from "../support/demo.ts";
import { largeScore } from "../support/largeScore.ts";

/** A bundle that answers with the text that it was asked about, and ends its thread over some. */
function fakeBundle(): { file: string; sign: string } {
  const folder = temporaryFolder();
  const file = join(folder, "bundle.cjs");
  const sign = join(folder, "ended");
  writeFileSync(
    file,
    `const { existsSync, writeFileSync } = require("node:fs");
    const { parentPort } = require("node:worker_threads");
    parentPort.on("message", ({ text }) => {
      if (text === "ends it") process.exit(3);
      if (text === "ends it once" && !existsSync(${JSON.stringify(sign)})) {
        writeFileSync(${JSON.stringify(sign)}, "");
        process.exit(3);
      }
      if (text === "cannot be read") parentPort.postMessage({ trouble: "it cannot" });
      else parentPort.postMessage({ found: { problems: [text], findings: [] } });
    });`,
  );
  return { file, sign };
}

const score = (uri: string, text: string) => ({ uri, text, settings: {} });

test("the built bundle finds in its thread what is found without one", async () => {
  const thread = new ReadingThread(builtFile("server.cjs"), finding);
  const text = demoText("lantern-waltz");
  const { problems, findings } = analyse(text);
  const found = await thread.read(score("file:///a", text));
  expect(found!.problems).toEqual(problems);
  expect(found!.findings).toEqual(findings.map(({ fixes: _, ...finding }) => finding));
});

test("the built bundle proposes in its thread what is proposed without one", async () => {
  const thread = new ReadingThread(builtFile("server.cjs"), proposing);
  const text = demoText("lantern-waltz");
  expect(await thread.read(score("file:///a", text))).toEqual(proposals(analyse(text)));
});

test("of each document only the newest text waits, and what was asked last comes first", async () => {
  const thread = new ReadingThread(fakeBundle().file, finding);
  const order: unknown[] = [];
  const ask = async (uri: string, text: string): Promise<void> => {
    const found = await thread.read(score(uri, text));
    order.push(found ? found.problems[0] : `${text} was not read`);
  };
  await Promise.all([ask("a", "a1"), ask("b", "b1"), ask("a", "a2"), ask("b", "b2"), ask("c", "c1")]);
  expect(order).toEqual(["b1 was not read", "a1", "c1", "b2", "a2"]);
  const closed = [ask("a", "a3"), ask("b", "b3")];
  thread.forget("b");
  await Promise.all(closed);
  expect(order.slice(5).sort()).toEqual(["a3", "b3 was not read"]);
});

test("a text that is being read is given up for a newer one of the same document, and when it is closed", async () => {
  const thread = new ReadingThread(builtFile("server.cjs"), finding);
  const text = largeScore(1_000_000);
  const demo = demoText("lantern-waltz");
  const known = await thread.read(score("file:///known", demo));
  const older = thread.read(score("file:///a", text));
  const newer = thread.read(score("file:///a", demo));
  expect(await older).toBeUndefined();
  expect(await newer).toEqual(known);
  const closed = thread.read(score("file:///a", text));
  thread.forget("file:///a");
  expect(await closed).toBeUndefined();
  expect(thread.isRunning).toBe(true);
});

test("a thread that reads a text again while nobody waits answers the next question as any other", async () => {
  const thread = new ReadingThread(builtFile("server.cjs"), finding);
  const text = largeScore(300_000);
  const edited = text.replace(/(<fingering[^>]*>)\d/, "$15");
  for (const asked of [text, edited, text]) {
    const { problems, findings } = analyse(asked);
    const found = await thread.read(score("file:///a", asked));
    expect(found!.problems).toEqual(problems);
    expect(found!.findings.map(({ rule, span }) => [rule, span])).toEqual(
      findings.map(({ rule, span }) => [rule, span]),
    );
    // Long enough for it to be in the midst of it.
    await new Promise((resolve) => setTimeout(resolve, 200));
  }
  thread.forget("file:///a");
});

test("a text that is asked about twice at a time is read for both", async () => {
  const thread = new ReadingThread(fakeBundle().file, finding);
  const asked = [thread.read(score("a", "a1")), thread.read(score("a", "a1"))];
  expect((await Promise.all(asked)).map((found) => found?.problems[0])).toEqual(["a1", "a1"]);
});

test("a thread that ends is started again; a text that ends it twice costs its own answer only", async () => {
  const { file, sign } = fakeBundle();
  const thread = new ReadingThread(file, finding);
  expect((await thread.read(score("a", "ends it once")))!.problems).toEqual(["ends it once"]);
  expect(existsSync(sign)).toBe(true);
  const answers = await Promise.allSettled([
    thread.read(score("a", "ends it")),
    thread.read(score("b", "fine")),
    thread.read(score("c", "cannot be read")),
  ]);
  expect(answers.map(({ status }) => status)).toEqual(["rejected", "fulfilled", "rejected"]);
  expect(String((answers[0] as PromiseRejectedResult).reason)).toContain("the thread that reads a ended");
  expect((await thread.read(score("a", "again")))!.problems).toEqual(["again"]);
});

test("a thread that has nothing to do ends, and another one answers", async () => {
  const thread = new ReadingThread(fakeBundle().file, finding, 20);
  for (const text of ["first", "second"]) {
    expect((await thread.read(score("a", text)))!.problems).toEqual([text]);
    expect(thread.isRunning).toBe(true);
    await expect.poll(() => thread.isRunning, { timeout: 10_000 }).toBe(false);
  }
});
