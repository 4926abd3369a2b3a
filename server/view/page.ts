import type { PanelPageSettings } from "../../shared/protocol/panel.ts";

/** Files of the build that the page is made of, by the name under which they are served. */
export const pageFiles: Readonly<Record<string, string>> = {
  "panel.js": "text/javascript",
  "panel.svg": "image/svg+xml",
  "panel.css": "text/css",
  "panel-engraver.js": "text/javascript",
  "verovio-module.mjs": "text/javascript",
  "verovio.mjs": "text/javascript",
};

const settings: PanelPageSettings = {
  host: "browser",
  engraver: { module: "verovio-module.mjs", toolkit: "verovio.mjs", worker: "panel-engraver.js" },
};

/**
 * What the page may do: run the one script that carries this nonce, compile the engraver, start its worker, and talk
 * to the server that it came from.
 */
export function securityPolicy(nonce: string): string {
  return [
    "default-src 'none'",
    `script-src 'nonce-${nonce}' 'wasm-unsafe-eval'`,
    `style-src 'nonce-${nonce}'`,
    "connect-src 'self'",
    "worker-src blob:",
    "img-src 'self'",
    "base-uri 'none'",
    "form-action 'none'",
    "frame-ancestors 'none'",
  ].join("; ");
}

/** The document that the browser loads. */
export function pageHtml(nonce: string): string {
  return `<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="referrer" content="no-referrer">
<title>Placewright</title>
<link rel="icon" type="image/svg+xml" href="panel.svg">
<link rel="stylesheet" nonce="${nonce}" href="panel.css">
</head>
<body>
<div id="app"></div>
<script id="settings" type="application/json">${JSON.stringify(settings)}</script>
<script nonce="${nonce}" src="panel.js"></script>
</body>
</html>
`;
}
