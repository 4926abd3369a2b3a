/** A click counts for a note that is at most this far away, in CSS pixels. */
const reachPx = 40;

/** The id of the note that a click in a system means: the one it hits, else the nearest one. */
export function nearestNote(event: MouseEvent): string | undefined {
  const target = event.target as Element;
  const marked = target.closest<SVGElement>("[data-note]")?.getAttribute("data-note");
  if (marked) return marked;
  const note = target.closest<SVGGElement>("g.note");
  if (note) return note.id;
  const picture = target.closest("svg.system-picture");
  let nearest: { id: string; distance: number } | undefined;
  for (const head of picture?.querySelectorAll<SVGGElement>("g.note > g.notehead") ?? []) {
    const box = head.getBoundingClientRect();
    const dx = event.clientX - (box.left + box.right) / 2;
    const dy = event.clientY - (box.top + box.bottom) / 2;
    const distance = Math.hypot(dx, dy);
    if (distance <= reachPx && distance < (nearest?.distance ?? Number.POSITIVE_INFINITY))
      nearest = { id: head.parentElement!.id, distance };
  }
  return nearest?.id;
}
