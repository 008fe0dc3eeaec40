-- Neovim's own client drives `studbay lsp` through a day's work on clients/plan.bay: open, mend, rename, type, format, ask, close.
--
--   nvim --headless -u NONE -i NONE --cmd 'set runtimepath^=VIM' -c 'luafile nvim.lua' PLAN.bay
--
-- $STUDBAY is the server. Ends with status 0 where all went as it must.
local step = 'start'

local function fail(why)
  io.stderr:write('neovim: ' .. step .. ': ' .. why .. '\n')
  vim.cmd('cquit')
end

local function is_true(value, why)
  if not value then fail(why) end
end

local function text()
  return table.concat(vim.api.nvim_buf_get_lines(0, 0, -1, false), '\n') .. '\n'
end

local function messages()
  local found = {}
  for _, d in ipairs(vim.diagnostic.get(0)) do
    if d.severity <= vim.diagnostic.severity.WARN then found[#found + 1] = d.message end
  end
  return found
end

-- Where the first of these words stands: the row and column from 0.
local function place_of(words)
  for row, line in ipairs(vim.api.nvim_buf_get_lines(0, 0, -1, false)) do
    local column = line:find(words, 1, true)
    if column then return row - 1, column - 1 end
  end
  fail('no ' .. words .. ' in the plan')
end

local function ask(method, words, behind, more)
  local row, column = place_of(words)
  local params = {
    textDocument = { uri = vim.uri_from_bufnr(0) },
    position = { line = row, character = column + behind },
  }
  local answers = vim.lsp.buf_request_sync(0, method, vim.tbl_extend('force', params, more or {}), 20000)
  is_true(answers, method .. ' is not answered')
  for _, answer in pairs(answers) do
    is_true(not answer.error, method .. ': ' .. vim.inspect(answer.error))
    return answer.result
  end
end

local function wait_for(why, what)
  is_true(vim.wait(20000, what, 20), why .. ': ' .. vim.inspect(messages()))
end

require('studbay').setup({ cmd = { vim.env.STUDBAY, 'lsp' } })
vim.cmd('filetype plugin indent on')
vim.cmd('edit')
wait_for('no client', function() return #vim.lsp.buf_get_clients(0) == 1 end)
local encoding = vim.lsp.buf_get_clients(0)[next(vim.lsp.buf_get_clients(0))].offset_encoding

step = 'open'
wait_for('no finding', function() return #messages() == 1 and messages()[1]:find("LL1", 1, true) end)

step = 'mend'
local row, column = place_of('LL1')
local diagnostics = vim.lsp.diagnostic.get_line_diagnostics(0, row)
local actions = ask('textDocument/codeAction', 'LL1', 0, {
  range = { start = { line = row, character = column }, ['end'] = { line = row, character = column + 3 } },
  context = { diagnostics = diagnostics },
})
local mend
for _, action in ipairs(actions) do
  if action.kind == 'quickfix' and action.edit and action.title:find("L1", 1, true) and not mend then mend = action end
end
is_true(mend, 'no quick fix: ' .. vim.inspect(actions))
vim.lsp.util.apply_workspace_edit(mend.edit, encoding)
is_true(text():find('shed.S1 -> L1\n', 1, true), text())
wait_for('still a finding', function() return #messages() == 0 end)

step = 'rename'
local rename = ask('textDocument/rename', 'S1  south', 1, { newName = 'S7' })
vim.lsp.util.apply_workspace_edit(rename, encoding)
is_true(text():find('box S7  south', 1, true) and text():find('shed.S7 -> L1', 1, true), text())

step = 'type'
local before = text()
local at = place_of('kind storage')
vim.api.nvim_buf_set_lines(0, at, at + 1, false, { '     kind    storage' })
step = 'format'
vim.lsp.buf.formatting_sync(nil, 20000)
is_true(text() == before, text())

step = 'hover'
local hover = ask('textDocument/hover', '-> shed.S7', 0)
is_true(hover and vim.inspect(hover.contents):find('14/2', 1, true), vim.inspect(hover))

step = 'complete'
local last = place_of('box L1')
vim.api.nvim_buf_set_lines(0, last + 1, last + 1, false, { '  box R1  north at 2\' { rec' })
local items = ask('textDocument/completion', '{ rec', 5)
items = items.items or items
local offered = {}
for _, item in ipairs(items) do offered[item.label] = true end
is_true(offered['receptacle'] and offered['receptacle-gfci'] and not offered['panel'] and not offered['run'], vim.inspect(vim.tbl_keys(offered)))
vim.api.nvim_buf_set_lines(0, last + 1, last + 2, false, {})
wait_for('a finding is left', function() return #messages() == 0 end)

step = 'close'
vim.lsp.stop_client(vim.lsp.get_active_clients())
wait_for('the server runs on', function() return #vim.lsp.get_active_clients() == 0 end)
print('neovim: opened, mended, renamed, typed, formatted, asked, closed')
vim.cmd('qall!')
