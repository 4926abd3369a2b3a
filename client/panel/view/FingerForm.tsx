import { useState } from "preact/hooks";
import type { Panel } from "./panel.ts";
import { useStore } from "./store.ts";

/** Prints fingers and brackets into bars that are chosen here or marked in the score. */
export function FingerForm({ panel }: { readonly panel: Panel }) {
  const shown = useStore(panel.store, (state) => state.shown);
  const bars = useStore(panel.store, (state) => state.bars);
  const changing = useStore(panel.store, (state) => state.changing);
  const [hand, setHand] = useState<"both" | "right" | "left">("both");
  const [mode, setMode] = useState<"keep" | "fresh">("keep");
  if (!shown) return null;
  const { measures } = shown.score;
  const last = measures.length - 1;
  const range = bars ?? { first: 0, last };
  const choose = (first: number, to: number): void =>
    panel.markBars({ first: Math.min(first, to), last: Math.max(first, to) });
  const options = measures.map(({ number }, index) => (
    <option key={index} value={index}>
      {number}
    </option>
  ));
  const finger = (whole: boolean): void =>
    void panel.change({
      kind: "finger",
      mode,
      hand,
      ...(whole
        ? {}
        : { bars: { first: measures[range.first]!.number, last: measures[range.last]!.number } }),
    });
  return (
    <details class="pane">
      <summary>Print fingers</summary>
      <form
        class="finger-form"
        onSubmit={(event) => {
          event.preventDefault();
          finger(false);
        }}
      >
        <label>
          From bar
          <select
            value={range.first}
            onChange={(event) =>
              choose(
                Number(event.currentTarget.value),
                Math.max(range.last, Number(event.currentTarget.value)),
              )
            }
          >
            {options}
          </select>
        </label>
        <label>
          to bar
          <select
            value={range.last}
            onChange={(event) =>
              choose(
                Math.min(range.first, Number(event.currentTarget.value)),
                Number(event.currentTarget.value),
              )
            }
          >
            {options}
          </select>
        </label>
        <label>
          Hands
          <select value={hand} onChange={(event) => setHand(event.currentTarget.value as typeof hand)}>
            <option value="both">both</option>
            <option value="right">right</option>
            <option value="left">left</option>
          </select>
        </label>
        <label>
          What is printed
          <select value={mode} onChange={(event) => setMode(event.currentTarget.value as typeof mode)}>
            <option value="keep">stays</option>
            <option value="fresh">is replaced</option>
          </select>
        </label>
        <div class="row">
          <button type="submit" class="main-action" disabled={changing}>
            {range.first === range.last
              ? `Finger bar ${measures[range.first]?.number ?? ""}`
              : `Finger bars ${measures[range.first]?.number ?? ""} to ${measures[range.last]?.number ?? ""}`}
          </button>
          <button type="button" disabled={changing} onClick={() => finger(true)}>
            The whole score
          </button>
        </div>
      </form>
    </details>
  );
}
