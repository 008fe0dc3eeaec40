if exists('b:did_indent')
  finish
endif
let b:did_indent = 1

setlocal indentexpr=StudbayIndent() indentkeys=0},o,O
let b:undo_indent = 'setlocal indentexpr< indentkeys<'

if exists('*StudbayIndent')
  finish
endif

" A block stands two columns further in than its line, its closing brace below that.
function StudbayIndent()
  let above = prevnonblank(v:lnum - 1)
  if !above
    return 0
  endif
  let text = substitute(substitute(getline(above), '"\%([^"\\]\|\\.\)*"', '', 'g'), '#.*$', '', '')
  let opens = len(substitute(text, '[^{]', '', 'g')) - len(substitute(text, '[^}]', '', 'g'))
  if text =~# '^\s*}'
    let opens += 1
  endif
  return indent(above) + shiftwidth() * (opens - (getline(v:lnum) =~# '^\s*}'))
endfunction
