import { expect, test, vi } from "vitest";
import type { PageHost } from "../../client/panel/view/host.ts";
import { Panel } from "../../client/panel/view/panel.ts";
import type { PanelNews, PanelQuestion } from "../../shared/protocol/panel.ts";
import { analyse, type Settings } from "../../shared/service/analyse.ts";
import { panelNote } from "../../shared/service/panelNote.ts";
import { panelReading } from "../../shared/service/panelScore.ts";
import { tinyScore } from "../support/tinyScore.ts";

const uri = "file:///scores/a.musicxml";
const rule = "finger-outside-range";

/** Answers from one text, whose version stays, with settings that may become others. */
class OneTextHost implements PageHost {
  readonly asked: PanelQuestion[] = [];
  settings: Settings = {};
  tell: (news: PanelNews) => void = () => {};
  readonly #text = tinyScore("C4/4:5 D4/4:2").text;

  ask: PageHost["ask"] = async (question, asks) => {
    this.asked.push(question);
    const analysis = analyse(this.#text, this.settings);
    const answers: Record<string, () => unknown> = {
      scores: () => [{ uri, name: "a.musicxml" }],
      read: () => ({ version: 1, reading: panelReading(analysis) }),
      note: () => panelNote(analysis, (asks as { note: string }).note),
      ways: () => [],
      reveal: () => null,
    };
    return answers[question]!() as never;
  };

  listen(listener: (news: PanelNews) => void): void {
    this.tell = listener;
  }

  recall(): undefined {
    return undefined;
  }

  remember(): void {}
}

test("news about a text that stayed as it is has it read again, and its chosen note asked about again", async () => {
  const host = new OneTextHost();
  const panel = new Panel(host);
  await panel.start();
  const count = (): number | undefined =>
    panel.state.shown?.score.findings.filter((finding) => finding.rule === rule).length;
  await vi.waitFor(() => expect(count()).toBe(1));
  panel.select(panel.state.shown!.score.notes[1]!.id);
  await vi.waitFor(() => expect(panel.state.answers?.ways).toEqual([]));
  host.asked.length = 0;

  host.settings = { severity: { [rule]: "off" } };
  host.tell({ kind: "changed", uri });
  await vi.waitFor(() => expect(count()).toBe(0));
  await vi.waitFor(() => expect(panel.state.answers?.ways).toEqual([]));
  expect(host.asked).toEqual(["read", "note", "ways"]);
  expect(panel.state.shown!.version).toBe(1);
});
