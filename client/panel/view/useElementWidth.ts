import { useEffect, useState } from "preact/hooks";

/**
 * The content width of an element in whole CSS pixels, kept up to date; 0 before it is known.
 * @returns what the element's `ref` must be, and the width.
 */
export function useElementWidth(): [ref: (element: Element | null) => void, width: number] {
  const [element, setElement] = useState<Element | null>(null);
  const [width, setWidth] = useState(0);
  useEffect(() => {
    if (!element) return;
    let timer: ReturnType<typeof setTimeout> | undefined;
    const observer = new ResizeObserver((entries) => {
      const next = Math.floor(entries.at(-1)!.contentRect.width);
      clearTimeout(timer);
      // Dragging an edge gives many widths; only where it stops matters.
      timer = setTimeout(() => setWidth(next), 80);
    });
    observer.observe(element);
    const style = getComputedStyle(element);
    const padding = Number.parseFloat(style.paddingLeft) + Number.parseFloat(style.paddingRight);
    setWidth(Math.floor(element.clientWidth - padding));
    return () => {
      clearTimeout(timer);
      observer.disconnect();
    };
  }, [element]);
  return [setElement, width];
}
