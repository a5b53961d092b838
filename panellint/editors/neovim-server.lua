-- Neovim 0.7 or newer: the server for panel files, with `panellint` on the PATH (or its path in
-- vim.g.panellint). Put this into your init.lua, or `:luafile` it.
local client
vim.api.nvim_create_autocmd({ "BufReadPost", "BufNewFile" }, {
  pattern = "*.panel",
  callback = function(at)
    vim.bo[at.buf].filetype = "panel"
    local root = vim.fn.fnamemodify(at.file, ":p:h")
    local options = { name = "panellint", cmd = { vim.g.panellint or "panellint", "serve" }, root_dir = root }
    if vim.lsp.start then return vim.lsp.start(options) end -- 0.8 and newer
    client = client or vim.lsp.start_client(options)
    vim.lsp.buf_attach_client(at.buf, client)
  end,
})
