" Holds the colours of the Vim syntax against what the compiler makes of each word:
"
"   nvim -es -u NONE -i NONE --cmd 'let g:tokens = "TOKENS"' --cmd 'set runtimepath^=VIM' -S vim.vim
"
" $FAULTS names the file that is told how many words were asked, and each of another colour.
filetype plugin indent on
syntax enable
let s:wanted = {
      \ 'comment': ['Comment'], 'text': ['Text', 'Escape'], 'length': ['Length'], 'cable': ['Cable'], 'lumber': ['Lumber'],
      \ 'number': ['Number'], 'unit': ['Unit'], 'statement': ['Statement'], 'device': ['Device', 'Statement'],
      \ 'key': ['Device', 'Statement', 'Name', 'Option'], 'option': ['Option'], 'name': ['Name', 'Option'] }
let s:words = {}
for s:row in readfile(g:tokens)
  let s:part = split(s:row)
  let s:path = join(s:part[:-5])
  let s:words[s:path] = get(s:words, s:path, []) + [map(s:part[-4:-2], 'str2nr(v:val)') + [s:part[-1]]]
endfor

let s:asked = 0
let s:faults = []

function s:ask(path)
  for [line, column, length, class] in s:words[a:path]
    for at in [column, column + length - 1]
      let s:asked += 1
      let name = synIDattr(synID(line, at, 1), 'name')
      if index(s:wanted[class], name[7:]) < 0
        call add(s:faults, [a:path, line, column, class, name])
      endif
    endfor
  endfor
endfunction

for s:path in sort(keys(s:words))
  execute 'silent edit' fnameescape(s:path)
  syntax sync fromstart
  call s:ask(s:path)
endfor
if &filetype !=# 'studbay'
  call add(s:faults, [s:path, 1, 1, 'studbay', &filetype])
endif
call writefile([printf('vim: %d places, %d of another colour', s:asked, len(s:faults))]
      \ + map(s:faults[:40], 'call("printf", ["%s:%d:%d: a %s, coloured as %s"] + v:val)'), $FAULTS)
execute (len(s:faults) || !s:asked) ? 'cquit' : 'qall!'
