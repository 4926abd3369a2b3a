import { strToU8, zipSync } from "fflate";

const container = `<?xml version="1.0" encoding="UTF-8"?>
<container><rootfiles><rootfile full-path="score.xml"/></rootfiles></container>
`;

/** What lies beside the score in a compressed file, and must stay as it is. */
export const besideTheScore = strToU8("not a score");

/**
 * A compressed score. Source: MusicXML 4.0, container.xsd: META-INF/container.xml names the score, other files may lie
 * beside it.
 */
export function containerFile(text: string): Uint8Array {
  return zipSync(
    {
      "META-INF/container.xml": strToU8(container),
      "score.xml": strToU8(text),
      "pictures/cover.bin": [besideTheScore, { level: 0 }],
    },
    // The same text gives the same bytes, whenever it is packed.
    { mtime: "2020-01-02T03:04:06" },
  );
}
