if exists('current_compiler')
  finish
endif
let current_compiler = 'studbay'

CompilerSet makeprg=studbay\ check\ %:S
CompilerSet errorformat=%f:%l:%c:\ %trror:\ %m,%f:%l:%c:\ %tarning:\ %m,%f:%l:%c:\ %tote:\ %m,%-G%.%#
