import { demoText } from "./demo.ts";

/** A score of at least so many characters: a demo's measures again and again, numbered through. */
export function largeScore(characters: number): string {
  const demo = demoText("lantern-waltz");
  const measures = [...demo.matchAll(/[ \t]*<measure [\s\S]*?<\/measure>\r?\n/g)].map(([measure]) => measure);
  const first = demo.indexOf(measures[0]!);
  const last = demo.lastIndexOf(measures.at(-1)!) + measures.at(-1)!.length;
  let body = "";
  for (let number = 0; body.length < characters; number += 1) {
    const measure = measures[number % measures.length]!;
    body += measure.replace(/number="[^"]*"/, `number="${number + 1}"`);
  }
  return demo.slice(0, first) + body + demo.slice(last);
}
