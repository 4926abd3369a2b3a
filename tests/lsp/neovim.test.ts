// A second real client beside the scripted one: the built-in language client of Neovim.
import { spawnSync } from "node:child_process";
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { builtFile } from "../support/built.ts";
import { temporaryFolder } from "../support/commandLine.ts";
import { demoText, withoutFingering } from "../support/demo.ts";

const hasNeovim = spawnSync("nvim", ["--version"]).status === 0;

/**
 * Opens the score, waits for findings, applies the first repair of the wrong finger, saves, and writes down what it
 * saw. Source: Neovim 0.7, help lsp, vim.lsp.start_client, vim.lsp.buf_request_sync, vim.lsp.util.
 */
const script = `
local report = {}
local function finish()
  local file = io.open(vim.env.REPORT, "w")
  file:write(vim.json.encode(report))
  file:close()
  vim.cmd("qall!")
end
local ok, problem = pcall(function()
  vim.cmd("edit " .. vim.env.SCORE)
  local id = vim.lsp.start_client({
    name = "placewright",
    cmd = { vim.env.NODE, vim.env.SERVER, "--stdio" },
    root_dir = vim.fn.fnamemodify(vim.env.SCORE, ":h"),
    get_language_id = function() return "musicxml" end,
  })
  vim.lsp.buf_attach_client(0, id)
  local function wrong()
    return vim.tbl_filter(function(d) return d.code == "finger-outside-range" end, vim.diagnostic.get(0))
  end
  report.appeared = vim.wait(20000, function() return #wrong() > 0 end, 50)
  local finding = wrong()[1]
  report.line = finding.lnum
  report.hover = vim.lsp.buf_request_sync(0, "textDocument/hover", {
    textDocument = vim.lsp.util.make_text_document_params(),
    position = { line = finding.lnum, character = finding.col },
  }, 20000)[id].result.contents.value
  local range = {
    start = { line = finding.lnum, character = finding.col },
    ["end"] = { line = finding.end_lnum, character = finding.end_col },
  }
  local answer = vim.lsp.buf_request_sync(0, "textDocument/codeAction", {
    textDocument = vim.lsp.util.make_text_document_params(),
    range = range,
    context = { diagnostics = { finding.user_data.lsp }, only = { "quickfix" } },
  }, 20000)[id].result
  local action = answer[1]
  report.title = action.title
  local resolved = vim.lsp.buf_request_sync(0, "codeAction/resolve", action, 20000)[id].result
  vim.lsp.util.apply_workspace_edit(resolved.edit, vim.lsp.get_client_by_id(id).offset_encoding)
  report.gone = vim.wait(20000, function() return #wrong() == 0 end, 50)
  vim.cmd("write")
  vim.lsp.stop_client(id)
end)
report.ok = ok
report.problem = problem and tostring(problem) or nil
finish()
`;

test.skipIf(!hasNeovim)(
  "Neovim shows a finding, applies its repair, and the file on the disk is right (skipped where nvim is not installed)",
  () => {
    const folder = temporaryFolder();
    mkdirSync(join(folder, "home"));
    const score = join(folder, "waltz.musicxml");
    const report = join(folder, "report.json");
    const demo = demoText("lantern-waltz");
    const wrong = demo.replace(/(<fingering[^>]*>)[1-4]</, "$15<");
    writeFileSync(score, wrong);
    writeFileSync(join(folder, "session.lua"), script);
    const { status, stderr } = spawnSync(
      "nvim",
      ["--headless", "--clean", "-n", "-c", `luafile ${join(folder, "session.lua")}`],
      {
        encoding: "utf8",
        timeout: 50_000,
        env: {
          PATH: process.env.PATH,
          HOME: join(folder, "home"),
          NODE: process.execPath,
          SERVER: builtFile("server.cjs"),
          SCORE: score,
          REPORT: report,
        },
      },
    );
    expect(status, stderr).toBe(0);
    const seen = JSON.parse(readFileSync(report, "utf8")) as Record<string, unknown>;
    expect(seen).toMatchObject({ ok: true, appeared: true, gone: true });
    expect(seen.hover).toContain("right hand");
    const lineOf = wrong.slice(0, wrong.search(/<fingering[^>]*>5</)).split("\n").length - 1;
    expect(seen.line).toBe(lineOf);
    const after = readFileSync(score, "utf8");
    expect(after).not.toBe(wrong);
    expect(withoutFingering(after)).toBe(withoutFingering(wrong));
    expect(after.match(/<fingering[^>]*>5</)).toBeNull();
  },
);
