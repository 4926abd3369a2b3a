// Draws client/media/icon.png from icon.svg beside it, in Debian's browser: `node .scripts/icon.mjs`, after a change of it.
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { chromium } from "playwright-core";
import { root } from "./steps.mjs";

const media = join(root, "client", "media");
const browser = await chromium.launch({ executablePath: "/usr/bin/chromium", args: ["--no-sandbox"] });
try {
  const page = await browser.newPage({ viewport: { width: 256, height: 256 } });
  const drawing = readFileSync(join(media, "icon.svg"), "utf8");
  await page.setContent(`<body style="margin:0">${drawing.replace(/<\?xml[^>]*>/, "")}</body>`);
  await page.screenshot({ path: join(media, "icon.png"), omitBackground: true });
} finally {
  await browser.close();
}
