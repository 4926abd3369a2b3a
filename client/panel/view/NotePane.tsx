import type { PanelNoteDetails, PanelPlacingDetails, PanelWay } from "../../../shared/protocol/panel.ts";
import { FindingItem } from "./FindingItem.tsx";
import type { Panel } from "./panel.ts";
import { useStore } from "./store.ts";

/** Everything about the selected note: finger, placing, cost, other ways, and whether it is kept. */
export function NotePane({ panel }: { readonly panel: Panel }) {
  const shown = useStore(panel.store, (state) => state.shown);
  const selected = useStore(panel.store, (state) => state.selected);
  const answers = useStore(panel.store, (state) => state.answers);
  const changing = useStore(panel.store, (state) => state.changing);
  const note = shown?.index.note(selected);
  if (!shown || !note) {
    return (
      <section class="note-pane" aria-label="Selected note">
        <p class="aside">
          Choose a note in the score to see its finger, its placing and what else could be done.
        </p>
      </section>
    );
  }
  const details = answers?.note === note.id ? answers.details : undefined;
  const ways = answers?.note === note.id ? answers.ways : undefined;
  const findings = shown.index.findingsAt(note.id);
  return (
    <section class="note-pane" aria-label="Selected note">
      <h2>
        <span class={`big-finger ${note.from ?? "none"}`}>{note.finger ?? "–"}</span>
        <span>
          {note.pitch}
          <span class="aside">
            {note.stringName}; bar {note.bar}, beat {note.beat}, {note.hand} hand
          </span>
        </span>
      </h2>
      {findings.length > 0 ? (
        <ul class="findings">
          {findings.map((finding) => (
            <FindingItem key={finding.index} panel={panel} finding={finding} />
          ))}
        </ul>
      ) : null}
      <LockState panel={panel} details={details} changing={changing} />
      {details?.moves.map((sentence) => (
        <p key={sentence}>{sentence}</p>
      ))}
      {details?.placings.map((placing, i) => (
        <Placing key={i} placing={placing} />
      ))}
      {note.event === undefined ? null : (
        <Ways panel={panel} note={note.id} ways={ways} changing={changing} />
      )}
      {details && details.otherFingers.length > 0 ? (
        <details>
          <summary>Another finger on this note</summary>
          <ul class="others">
            {details.otherFingers.map(({ finger, words }) => (
              <li key={finger}>
                <strong>{finger}</strong> {words}.{" "}
                <button
                  type="button"
                  disabled={changing}
                  aria-label={`Print finger ${finger} here`}
                  onClick={() => void panel.change({ kind: "keep", note: details.id, finger })}
                >
                  Print {finger}
                </button>
              </li>
            ))}
          </ul>
        </details>
      ) : null}
    </section>
  );
}

/** Printed fingers are kept; the others may still change. */
function LockState({
  panel,
  details,
  changing,
}: {
  readonly panel: Panel;
  readonly details: PanelNoteDetails | undefined;
  readonly changing: boolean;
}) {
  if (!details || details.from === undefined) {
    return details ? (
      <p>Not plucked: it sounds on from the note before, or is not printed for the harp.</p>
    ) : null;
  }
  const { id, from, finger, printed } = details;
  if (from === "print") {
    return (
      <p class="lock kept">
        Printed, so it is kept.{" "}
        <button
          type="button"
          disabled={changing}
          onClick={() => void panel.change({ kind: "free", note: id })}
        >
          Take the finger away
        </button>
      </p>
    );
  }
  return (
    <p class="lock free">
      {printed.length > 0
        ? `Printed as “${printed.join(", ")}”; proposed instead.`
        : "Proposed, not printed yet."}{" "}
      {finger === undefined ? null : (
        <button
          type="button"
          disabled={changing}
          onClick={() => void panel.change({ kind: "keep", note: id, finger })}
        >
          Print finger {finger}
        </button>
      )}{" "}
      <button
        type="button"
        disabled={changing}
        onClick={() => void panel.change({ kind: "placing", note: id })}
      >
        Print the placing
      </button>
    </p>
  );
}

function Placing({ placing }: { readonly placing: PanelPlacingDetails }) {
  return (
    <div class="placing">
      <h3>Placing</h3>
      <p class="fingers-row">
        {placing.notes.map(({ pitch, finger, chord }, i) => (
          <span key={i} class={chord ? "with-before" : ""}>
            {pitch} <strong>{finger ?? "–"}</strong>
          </span>
        ))}
      </p>
      <p class="aside">
        {placing.how}; cost {placing.cost}
      </p>
      {placing.terms.length > 0 ? (
        <table class="terms">
          <caption class="only-read">What the placing costs</caption>
          <tbody>
            {placing.terms.map(({ cost, words }) => (
              <tr key={words}>
                <td>{cost}</td>
                <th scope="row">{words}</th>
              </tr>
            ))}
          </tbody>
        </table>
      ) : null}
    </div>
  );
}

function Ways({
  panel,
  note,
  ways,
  changing,
}: {
  readonly panel: Panel;
  readonly note: string;
  readonly ways: readonly PanelWay[] | undefined;
  readonly changing: boolean;
}) {
  return (
    <div class="ways" aria-busy={ways === undefined}>
      <h3>Other ways</h3>
      {ways === undefined ? <p class="aside">Looking for other ways…</p> : null}
      {ways?.length === 0 ? <p class="aside">There is no other way to finger this placing.</p> : null}
      <ol>
        {ways?.map((way, index) => (
          <li key={index}>
            <p class="fingers-row">
              {way.notes.map(({ pitch, finger, chord, changed, placingBegins }, i) => (
                <span
                  key={i}
                  class={[chord ? "with-before" : "", placingBegins && i > 0 ? "begins" : ""]
                    .join(" ")
                    .trim()}
                >
                  {pitch} <strong class={changed ? "changed" : ""}>{finger ?? "–"}</strong>
                </span>
              ))}
            </p>
            <p>{capital(way.words)}.</p>
            <button
              type="button"
              disabled={changing}
              aria-label={`Use this way: ${way.notes.map(({ finger }) => finger ?? "none").join(" ")}`}
              onClick={() => void panel.change({ kind: "way", note, way: index })}
            >
              Use this
            </button>
          </li>
        ))}
      </ol>
    </div>
  );
}

function capital(words: string): string {
  return `${words.charAt(0).toUpperCase()}${words.slice(1)}`;
}
