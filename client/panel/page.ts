import * as vscode from "vscode";
import type { PanelPageSettings } from "../../shared/protocol/panel.ts";

/** The page's document for a webview. What it is made of lies in `dist` of the extension. */
export function pageHtml(webview: vscode.Webview, dist: vscode.Uri): string {
  const nonce = Buffer.from(crypto.getRandomValues(new Uint8Array(16))).toString("base64");
  const file = (name: string): string => webview.asWebviewUri(vscode.Uri.joinPath(dist, name)).toString();
  const settings: PanelPageSettings = {
    host: "editor",
    engraver: {
      module: file("verovio-module.mjs"),
      toolkit: file("verovio.mjs"),
      worker: file("panel-engraver.js"),
    },
  };
  const policy = [
    "default-src 'none'",
    `script-src 'nonce-${nonce}' 'wasm-unsafe-eval'`,
    `style-src 'nonce-${nonce}'`,
    `connect-src ${webview.cspSource}`,
    "worker-src blob:",
  ].join("; ");
  return `<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${policy}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Placewright</title>
<link rel="stylesheet" nonce="${nonce}" href="${file("panel.css")}">
</head>
<body>
<div id="app"></div>
<script id="settings" type="application/json">${JSON.stringify(settings).replaceAll("<", "\\u003c")}</script>
<script nonce="${nonce}" src="${file("panel.js")}"></script>
</body>
</html>
`;
}
