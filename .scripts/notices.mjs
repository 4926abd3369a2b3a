// Says whose work is in the bundles, and under which licence: read from esbuild's metafiles and from node_modules.
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { root } from "./steps.mjs";

/**
 * The folders of the packages of which something went into a bundle, in the order of their names.
 * @param metafiles of esbuild, with paths from the project's folder.
 */
export function bundledPackages(metafiles) {
  const folders = new Set();
  for (const { outputs } of metafiles) {
    for (const { inputs } of Object.values(outputs)) {
      for (const [path, { bytesInOutput }] of Object.entries(inputs)) {
        const folder = /^(?:.*\/)?node_modules\/(?:@[^/]+\/)?[^/]+/.exec(path)?.[0];
        if (folder !== undefined && bytesInOutput > 0) folders.add(folder);
      }
    }
  }
  return [...folders].sort();
}

/** The text of the notices. Ends the process when a package's licence cannot be told or printed. */
export function noticesText(folders) {
  const rule = "-".repeat(79);
  const parts = folders.map((folder) => `${rule}\n\n${noticeOf(folder)}`);
  return `Placewright carries the work of others. These are their licences.\n\n${parts.join("\n")}`;
}

function noticeOf(folder) {
  const { name, version, license, author } = JSON.parse(
    readFileSync(join(root, folder, "package.json"), "utf8"),
  );
  const holder = (typeof author === "string" ? author : author?.name) ?? `the authors of ${name}`;
  const text = licenceFile(folder) ?? standardTexts[license]?.(holder);
  if (text === undefined) {
    console.error(`build: ${folder} is bundled, and there is no text of its licence, ${license}.`);
    process.exit(2);
  }
  return `${name} ${version}\nLicence: ${license}\n\n${text.trim()}\n`;
}

function licenceFile(folder) {
  const path = join(root, folder);
  const name = readdirSync(path).find((each) => /^(licen[cs]e|copying)(\.|-|$)/i.test(each));
  return name === undefined ? undefined : readFileSync(join(path, name), "utf8");
}

/** For packages that name a licence and do not hold its text. Source: SPDX License List. */
const standardTexts = {
  MIT: (holder) => `Copyright (c) ${holder}

Permission is hereby granted, free of charge, to any person obtaining a copy of this software and associated documentation files (the "Software"), to deal in the Software without restriction, including without limitation the rights to use, copy, modify, merge, publish, distribute, sublicense, and/or sell copies of the Software, and to permit persons to whom the Software is furnished to do so, subject to the following conditions:

The above copyright notice and this permission notice shall be included in all copies or substantial portions of the Software.

THE SOFTWARE IS PROVIDED "AS IS", WITHOUT WARRANTY OF ANY KIND, EXPRESS OR IMPLIED, INCLUDING BUT NOT LIMITED TO THE WARRANTIES OF MERCHANTABILITY, FITNESS FOR A PARTICULAR PURPOSE AND NONINFRINGEMENT. IN NO EVENT SHALL THE AUTHORS OR COPYRIGHT HOLDERS BE LIABLE FOR ANY CLAIM, DAMAGES OR OTHER LIABILITY, WHETHER IN AN ACTION OF CONTRACT, TORT OR OTHERWISE, ARISING FROM, OUT OF OR IN CONNECTION WITH THE SOFTWARE OR THE USE OR OTHER DEALINGS IN THE SOFTWARE.`,
  ISC: (holder) => `Copyright (c) ${holder}

Permission to use, copy, modify, and/or distribute this software for any purpose with or without fee is hereby granted, provided that the above copyright notice and this permission notice appear in all copies.

THE SOFTWARE IS PROVIDED "AS IS" AND THE AUTHOR DISCLAIMS ALL WARRANTIES WITH REGARD TO THIS SOFTWARE INCLUDING ALL IMPLIED WARRANTIES OF MERCHANTABILITY AND FITNESS. IN NO EVENT SHALL THE AUTHOR BE LIABLE FOR ANY SPECIAL, DIRECT, INDIRECT, OR CONSEQUENTIAL DAMAGES OR ANY DAMAGES WHATSOEVER RESULTING FROM LOSS OF USE, DATA OR PROFITS, WHETHER IN AN ACTION OF CONTRACT, NEGLIGENCE OR OTHER TORTIOUS ACTION, ARISING OUT OF OR IN CONNECTION WITH THE USE OR PERFORMANCE OF THIS SOFTWARE.`,
  "LGPL-3.0-or-later": (holder) => `Copyright (c) ${holder}

It is a module of its own, verovio-module.mjs and verovio.mjs, as it was published. Its licence is the GNU Lesser General Public License, version 3 or later, in verovio-LGPL-3.0.txt, which adds to the GNU General Public License in verovio-GPL-3.0.txt. Its source is at https://www.verovio.org.`,
};
