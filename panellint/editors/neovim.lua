-- Neovim 0.7 or newer, without the server: lint a panel file as it is read and written.
vim.api.nvim_create_autocmd({ "BufReadPost", "BufWritePost" }, { pattern = "*.panel", callback = function(at)
  local command = { vim.g.panellint or "panellint", "lint", "--format", "lsp", "--as", at.file, "-" }
  local text = vim.api.nvim_buf_get_lines(at.buf, 0, -1, false)
  local read, found = pcall(vim.json.decode, vim.fn.system(command, text))
  for _, one in ipairs(read and type(found) == "table" and found or {}) do
    one.uri = vim.uri_from_bufnr(at.buf)
    vim.lsp.diagnostic.on_publish_diagnostics(nil, one, { client_id = 0 }, {})
  end
end })
