-- Neovim 0.7 or newer, without the server: lint a panel file as it is read and written.
local space = vim.api.nvim_create_namespace("panellint")
local function lint(at)
  local command = { vim.g.panellint or "panellint", "lint", "--format", "lsp", "--as", at.file, "-" }
  local text, told = vim.api.nvim_buf_get_lines(at.buf, 0, -1, false), {}
  local function byte(p) return vim.str_byteindex(text[p.line + 1] or "", p.character, true) end
  local _, found = pcall(vim.json.decode, vim.fn.system(command, text))
  for _, one in ipairs(type(found) == "table" and found[1] and found[1].diagnostics or {}) do
    local from, to = one.range.start, one.range["end"]
    table.insert(told, { lnum = from.line, col = byte(from), end_lnum = to.line, end_col = byte(to),
      severity = one.severity, message = one.message, code = one.code, source = one.source })
  end
  vim.diagnostic.set(space, at.buf, told)
end
vim.api.nvim_create_autocmd({ "BufReadPost", "BufWritePost" }, { pattern = "*.panel", callback = lint })
