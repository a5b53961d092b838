-- Neovim 0.7 or newer: the server for panel files, with `panellint` on the PATH (or its path in
-- vim.g.panellint). Put this into your init.lua, or `:luafile` it. One server works for all files
-- below the same panellint.yaml or .git.
local function root(file)
  local own = vim.fn.fnamemodify(file, ":p:h")
  local folder, above = own, nil
  while folder ~= above do
    for _, mark in ipairs({ "/panellint.yaml", "/.git" }) do
      if (vim.uv or vim.loop).fs_stat(folder .. mark) then return folder end
    end
    folder, above = vim.fn.fnamemodify(folder, ":h"), folder
  end
  return own
end

local function attached(_, buffer)
  if vim.lsp.inlay_hint then vim.lsp.inlay_hint.enable(true, { bufnr = buffer }) end -- 0.10 and newer
end

local clients = {}
vim.api.nvim_create_autocmd({ "BufReadPost", "BufNewFile" }, {
  pattern = "*.panel",
  callback = function(at)
    vim.bo[at.buf].filetype = "panel"
    local options = {
      name = "panellint",
      cmd = { vim.g.panellint or "panellint", "serve" },
      root_dir = root(at.file),
      on_attach = attached,
    }
    if vim.lsp.start then
      vim.lsp.start(options, { bufnr = at.buf }) -- 0.8 and newer
    else
      local client = clients[options.root_dir] or vim.lsp.start_client(options)
      clients[options.root_dir] = client
      vim.lsp.buf_attach_client(at.buf, client)
    end
    -- What a callback returns would end this autocommand: nothing.
  end,
})
