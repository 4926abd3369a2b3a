/** What is fingered and bracketed in a score, as text that can be compared. */
import { analyse } from "../../shared/service/analyse.ts";

/** Hands, notes with all their fingerings, the events under each bracket, and lone bracket ends. */
export function picture(text: string): string {
  const { hands } = analyse(text);
  return hands
    .flatMap(({ hand, line, brackets }) => {
      const events = line.events.map((event) =>
        event.notes
          .map(
            ({ note, string }) => `${string}:${note.fingerings.map((fingering) => fingering.text).join(",")}`,
          )
          .join("+"),
      );
      const ranges = brackets.brackets.map(({ first, last }) => `${first}-${last}`);
      const lone = brackets.unmatched.map(
        (end) => `${end.type} in bar ${end.measure.number} at ${end.position.n}/${end.position.d}`,
      );
      return [`${hand}: ${events.join(" ")}`, `brackets: ${ranges.join(" ")}`, `lone: ${lone.join(", ")}`];
    })
    .join("\n");
}
