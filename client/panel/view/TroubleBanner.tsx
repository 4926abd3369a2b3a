import type { Panel } from "./panel.ts";
import { useStore } from "./store.ts";

/** Says since when and why the picture is older than the text. */
export function TroubleBanner({ panel }: { readonly panel: Panel }) {
  const trouble = useStore(panel.store, (state) => state.trouble);
  const shown = useStore(panel.store, (state) => state.shown);
  if (!trouble) return null;
  const { broken, since } = trouble;
  const time = new Date(since).toLocaleTimeString();
  return (
    <div class="trouble" role="status">
      <p>
        <strong>
          {shown
            ? `The text cannot be read since ${time}; this is the picture from before.`
            : `The text cannot be read (${time}).`}
        </strong>
      </p>
      <p>
        Line {broken.line}, column {broken.column}: {broken.why}
      </p>
      <button type="button" onClick={() => panel.openTrouble()}>
        Go to the place
      </button>
    </div>
  );
}
