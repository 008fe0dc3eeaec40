if exists('b:did_ftplugin')
  finish
endif
let b:did_ftplugin = 1

setlocal commentstring=#\ %s comments=:# iskeyword=@,48-57,_,-
setlocal expandtab shiftwidth=2 softtabstop=2
setlocal formatprg=studbay\ fmt\ -
compiler studbay

let b:undo_ftplugin = 'setlocal commentstring< comments< iskeyword< expandtab< shiftwidth< softtabstop< formatprg< makeprg< errorformat<'
