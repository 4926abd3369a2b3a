/** Text as it stands in HTML, in an attribute too. */
export function html(text: string): string {
  return text
    .replaceAll("&", "&amp;")
    .replaceAll("<", "&lt;")
    .replaceAll(">", "&gt;")
    .replaceAll('"', "&quot;")
    .replaceAll("'", "&#39;");
}

/** What every page has: fits A4 and Letter, and cuts neither a system nor a row in two. */
const pageCss = `
@page { margin: 15mm; }
:root { color: #111; background: #fff; font: 11pt/1.45 system-ui, sans-serif; }
body { margin: 0 auto; max-width: 720px; padding: 16px; }
h1 { font-size: 1.6em; margin: 0 0 .2em; line-height: 1.2; }
h2 { font-size: 1.2em; margin: 1.4em 0 .4em; break-after: avoid; }
h3 { font-size: 1em; margin: 0 0 .3em; break-after: avoid; }
p { margin: .3em 0; }
table { border-collapse: collapse; width: 100%; font-size: .95em; }
th, td { text-align: left; vertical-align: top; padding: .25em .6em .25em 0; border-bottom: 1px solid #ccc; }
tr { break-inside: avoid; }
thead { display: table-header-group; }
.quiet { color: #555; }
.caution { border: 1px solid #111; padding: .4em .7em; margin: 1em 0; break-inside: avoid; }
@media print { body { max-width: none; padding: 0; } a { color: inherit; text-decoration: none; } }
`;

/**
 * A page that needs nothing beside it: no network, no script.
 * @param body HTML.
 */
export function page(title: string, css: string, body: string): string {
  return [
    "<!DOCTYPE html>",
    '<html lang="en">',
    "<head>",
    '<meta charset="utf-8">',
    '<meta name="viewport" content="width=device-width">',
    `<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; font-src data:; img-src data:">`,
    `<title>${html(title)}</title>`,
    `<style>${pageCss}${css}</style>`,
    "</head>",
    `<body>\n${body}\n</body>`,
    "</html>",
    "",
  ].join("\n");
}
