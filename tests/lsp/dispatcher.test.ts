import { expect, test } from "vitest";
import { CancellationToken, ErrorCodes, LSPErrorCodes, ResponseError } from "vscode-languageserver/node";
import { Dispatcher } from "../../server/lsp/dispatcher.ts";
import { InputError } from "../../shared/text/problem.ts";

function running(): { dispatcher: Dispatcher; log: string[] } {
  const log: string[] = [];
  const dispatcher = new Dispatcher((message) => log.push(message));
  dispatcher.phase = "running";
  return { dispatcher, log };
}

test("a handler that throws costs one answer and is logged with its place", async () => {
  const { dispatcher, log } = running();
  let calls = 0;
  const handler = dispatcher.request("test/request", (params: { fail: boolean }) => {
    calls += 1;
    if (params.fail) throw new TypeError("no such thing");
    return "fine";
  });
  const refused = await handler({ fail: true }, CancellationToken.None);
  expect(refused).toBeInstanceOf(ResponseError);
  expect(refused).toMatchObject({
    code: ErrorCodes.InternalError,
    message: "test/request failed: no such thing",
  });
  expect(log).toHaveLength(1);
  expect(log[0]).toContain("dispatcher.test.ts");
  expect(await handler({ fail: false }, CancellationToken.None)).toBe("fine");
  expect(calls).toBe(2);
});

test("a promise that fails is the same; what the user can mend is not logged", async () => {
  const { dispatcher, log } = running();
  const late = dispatcher.request("test/late", () => Promise.reject(new Error("later")));
  expect(await late({}, CancellationToken.None)).toMatchObject({ code: ErrorCodes.InternalError });
  const unfit = dispatcher.request("test/unfit", () => {
    throw new InputError("no bar here");
  });
  expect(await unfit({}, CancellationToken.None)).toMatchObject({
    code: LSPErrorCodes.RequestFailed,
    message: "no bar here",
  });
  const refusing = dispatcher.request("test/stale", () => {
    throw new ResponseError(LSPErrorCodes.ContentModified, "changed");
  });
  expect(await refusing({}, CancellationToken.None)).toMatchObject({ code: LSPErrorCodes.ContentModified });
  expect(log).toHaveLength(1);
});

test("what was cancelled while it waited is not done", async () => {
  const { dispatcher } = running();
  const handler = dispatcher.request("test/slow", () => {
    throw new Error("it was done");
  });
  expect(await handler({}, CancellationToken.Cancelled)).toMatchObject({
    code: LSPErrorCodes.RequestCancelled,
  });
});

test("a notification or a task that throws is logged, and nothing is done outside a session", () => {
  const { dispatcher, log } = running();
  const seen: number[] = [];
  const notified = dispatcher.notification("test/notification", (value: number) => {
    seen.push(value);
    throw new Error("broken");
  });
  notified(1);
  dispatcher.guard("test task", () => {
    throw new Error("broken too");
  });
  dispatcher.phase = "after shutdown";
  notified(2);
  expect(seen).toEqual([1]);
  expect(log.map((line) => line.split("\n")[0])).toEqual([
    "test/notification: Error: broken",
    "test task: Error: broken too",
  ]);
});
