import type { PanelEvent } from "../../../shared/protocol/panel.ts";
import type { Panel } from "./panel.ts";
import { type PanelState, tempos } from "./panelState.ts";
import { useStore } from "./store.ts";

/** Moves the music: play and pause, note by note, placing by placing, slower and faster, with sound or without. */
export function Transport({ panel }: { readonly panel: Panel }) {
  const playing = useStore(panel.store, (state) => state.playing);
  const sounds = useStore(panel.store, (state) => state.sounds);
  const tempoPercent = useStore(panel.store, (state) => state.tempoPercent);
  const measures = useStore(panel.store, (state) => state.shown?.score.measures);
  const measure = useStore(panel.store, (state) => latestEvent(state)?.measure ?? 0);
  const place = useStore(panel.store, (state) => {
    const event = latestEvent(state);
    return event ? `bar ${event.bar}, beat ${event.beat}` : "at the beginning";
  });
  return (
    <div class="transport" role="toolbar" aria-label="Move through the music">
      <Step
        panel={panel}
        by={-1}
        unit="placing"
        label="One placing back"
        path="M11 3L5 8L11 13M5 3V13M15 3L9 8L15 13"
      />
      <Step panel={panel} by={-1} unit="event" label="One note back" path="M11 3L5 8L11 13" />
      <button
        type="button"
        class="play"
        aria-label={playing ? "Pause" : "Play"}
        title={playing ? "Pause" : "Play"}
        onClick={() => panel.playOrPause()}
      >
        <svg viewBox="0 0 16 16" width="18" height="18" aria-hidden="true">
          <path class="filled" d={playing ? "M3 2H6.5V14H3ZM9.5 2H13V14H9.5Z" : "M4 2L14 8L4 14Z"} />
        </svg>
      </button>
      <Step panel={panel} by={1} unit="event" label="One note on" path="M5 3L11 8L5 13" />
      <Step
        panel={panel}
        by={1}
        unit="placing"
        label="One placing on"
        path="M5 3L11 8L5 13M11 3V13M1 3L7 8L1 13"
      />
      <span class="place">{place}</span>
      <label class="tempo">
        Bar
        <select
          aria-label="Go to bar"
          value={measure}
          disabled={!measures}
          onChange={(event) => panel.goToMeasure(Number(event.currentTarget.value))}
        >
          {measures?.map(({ number }, index) => (
            <option key={index} value={index}>
              {number}
            </option>
          ))}
        </select>
      </label>
      <label class="tempo">
        Tempo
        <select
          value={tempoPercent}
          onChange={(event) => panel.store.change({ tempoPercent: Number(event.currentTarget.value) })}
        >
          {tempos.map((percent) => (
            <option key={percent} value={percent}>
              {percent} %
            </option>
          ))}
        </select>
      </label>
      <label class="check">
        <input
          type="checkbox"
          checked={sounds}
          onChange={(event) => panel.setSounds(event.currentTarget.checked)}
        />
        Sound
      </label>
    </div>
  );
}

/** Of both hands, the event that was plucked last. */
function latestEvent({ shown, timeMicros }: PanelState): PanelEvent | undefined {
  return shown?.score.hands
    .map((hand) => hand.events[shown.index.lastEventAt(hand, timeMicros)])
    .filter((event) => event !== undefined)
    .sort((a, b) => b.atMicros - a.atMicros)[0];
}

function Step({
  panel,
  by,
  unit,
  label,
  path,
}: {
  readonly panel: Panel;
  readonly by: 1 | -1;
  readonly unit: "event" | "placing";
  readonly label: string;
  readonly path: string;
}) {
  return (
    <button type="button" aria-label={label} title={label} onClick={() => panel.step(by, unit)}>
      <svg viewBox="0 0 16 16" width="16" height="16" aria-hidden="true">
        <path d={path} />
      </svg>
    </button>
  );
}
