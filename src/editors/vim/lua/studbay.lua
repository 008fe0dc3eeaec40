-- Neovim: require('studbay').setup() starts `studbay lsp` for every plan; setup { cmd = { '/opt/studbay', 'lsp' } } another one.
local M = {}

local function root_of(file)
  local folder = vim.fn.fnamemodify(file, ':p:h')
  local git = vim.fn.finddir('.git', folder .. ';')
  return git ~= '' and vim.fn.fnamemodify(git, ':p:h:h') or folder
end

function M.setup(options)
  local command = (options or {}).cmd or { 'studbay', 'lsp' }
  local clients = {}
  vim.api.nvim_create_autocmd('FileType', {
    pattern = 'studbay',
    callback = function(event)
      local root = root_of(vim.api.nvim_buf_get_name(event.buf))
      if not clients[root] or not vim.lsp.get_client_by_id(clients[root]) then
        clients[root] = vim.lsp.start_client({ name = 'studbay', cmd = command, root_dir = root })
      end
      vim.lsp.buf_attach_client(event.buf, clients[root])
    end,
  })
end

return M
