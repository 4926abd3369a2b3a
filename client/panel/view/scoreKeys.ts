import type { Panel } from "./panel.ts";

/** What the keys do while the score has the focus; also read out and shown as help. */
export const scoreKeysHelp =
  "Left and right: from note to note in one hand. Up and down: within a chord, and to the other hand. Shift with left or right: mark bars. Home and end: first and last note. F and Shift F: next and previous finding. 1 to 4: print that finger. Delete: take the printed finger away. Enter: go to the text. Space: play or pause.";

/** Handles a key pressed in the score. */
export function scoreKeys(panel: Panel, event: KeyboardEvent): void {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const action = actionOf(panel, event);
  if (!action) return;
  event.preventDefault();
  action();
}

function actionOf(panel: Panel, { key, shiftKey }: KeyboardEvent): (() => void) | undefined {
  const { selected } = panel.state;
  switch (key) {
    case "ArrowRight":
      return () => panel.stepInHand(1, shiftKey);
    case "ArrowLeft":
      return () => panel.stepInHand(-1, shiftKey);
    case "ArrowUp":
      return () => panel.stepAcross(1);
    case "ArrowDown":
      return () => panel.stepAcross(-1);
    case "Home":
      return () => panel.stepToEnd(-1);
    case "End":
      return () => panel.stepToEnd(1);
    case "f":
    case "F":
      return () => panel.stepFinding(shiftKey ? -1 : 1);
    case "Enter":
      return () => panel.openText();
    case " ":
      return () => panel.playOrPause();
    case "1":
    case "2":
    case "3":
    case "4":
      return selected === undefined
        ? undefined
        : () => void panel.change({ kind: "keep", note: selected, finger: Number(key) });
    case "Delete":
    case "Backspace":
      return selected === undefined ? undefined : () => void panel.change({ kind: "free", note: selected });
    default:
      return undefined;
  }
}
