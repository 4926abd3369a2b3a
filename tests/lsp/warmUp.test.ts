import { afterEach, beforeEach, expect, test, vi } from "vitest";
import { WarmUp } from "../../server/lsp/warmUp.ts";

beforeEach(() => {
  vi.useFakeTimers();
});

afterEach(() => {
  vi.useRealTimers();
});

test("a thread with nothing to do reads its text again three times in all, and no more after another text", () => {
  const warmUp = new WarmUp();
  const again = vi.fn();
  warmUp.after(again);
  expect(again).not.toHaveBeenCalled();
  vi.advanceTimersByTime(10_000);
  expect(again).toHaveBeenCalledTimes(3);
  const other = vi.fn();
  warmUp.after(other);
  vi.advanceTimersByTime(10_000);
  expect(other).not.toHaveBeenCalled();
});

test("while keystrokes follow each other nothing is read again, and then only the last text", () => {
  const warmUp = new WarmUp();
  const older = vi.fn();
  const newer = vi.fn();
  warmUp.after(older);
  vi.advanceTimersByTime(100);
  warmUp.putOff();
  vi.advanceTimersByTime(10_000);
  warmUp.after(newer);
  vi.advanceTimersByTime(200);
  expect(older).not.toHaveBeenCalled();
  expect(newer).toHaveBeenCalledTimes(1);
});
