" Plans of studbay @VERSION@
if exists('b:current_syntax')
  finish
endif
let s:cpo = &cpo
set cpo&vim

syntax case match
syntax iskeyword @,48-57,_,-

" Where two begin at the same place, the one that stands further down is taken.
syntax match studbayName /\<\a[A-Za-z0-9_]*\%(-[A-Za-z0-9_]\+\)*/
syntax match studbayOption /\.\@1<!\<\%(@OPTIONS:\|@\)\>\.\@!/
syntax match studbayNumber /-\=\d\+\%(\.\d\+\)\=/
syntax match studbayUnit /\%(\<[0-9.]\+\s\+\)\@20<=\%(@UNITS:\|@\)[A-Za-z0-9_-]\@!/
syntax match studbayUnit /\d\@1<=\%(@UNITS:\|@\)[A-Za-z0-9_-]\@!/
syntax match studbayUnit /\%(\d\s*\)\@20<=\%(%\|ohm\/kft\|VA\/ft2\)/
syntax match studbayLumber /\<\d\+x\d\+\>/
syntax match studbayCable /\<\d\+\%(\/\d\+\)\+\%(-\a[A-Za-z0-9]*\)*\|\<\a[A-Za-z0-9_]*\%(-[A-Za-z0-9_]\+\)*-\d\+\/\d\+/
syntax match studbayLength /-\=\%(\d\+\%(-\|\s\+\)\d\+\/\d\+\|\d\+\/\d\+\|\d\+\%(\.\d\+\)\=\)["″”]/
syntax match studbayLength /-\=\d\+\%(\.\d\+\)\=['′’]\%(\%(-\|\s*\)\%(\d\+\%(-\|\s\+\)\d\+\/\d\+\|\d\+\/\d\+\|\d\+\%(\.\d\+\)\=\)["″”]\)\=/
syntax match studbayArrow /->/
syntax match studbayDevice /\%(^\s*\|[{};]\s*\)\@100<=\a[A-Za-z0-9_]*\%(-[A-Za-z0-9_]\+\)*[.A-Za-z0-9_-]\@!/
syntax match studbayStatement /\%(^\s*\|[{};]\s*\)\@100<=\%(@STATEMENTS:\|@\)[.A-Za-z0-9_-]\@!/
syntax match studbayEscape /\\["\\n]/ contained
syntax region studbayText start=/"/ skip=/\\./ end=/"/ oneline contains=studbayEscape
syntax match studbayComment /#.*$/ contains=@Spell

highlight default link studbayComment Comment
highlight default link studbayText String
highlight default link studbayEscape SpecialChar
highlight default link studbayStatement Statement
highlight default link studbayDevice Type
highlight default link studbayOption Keyword
highlight default link studbayName Identifier
highlight default link studbayNumber Number
highlight default link studbayUnit Special
highlight default link studbayLength Number
highlight default link studbayLumber Constant
highlight default link studbayCable Constant
highlight default link studbayArrow Operator

let b:current_syntax = 'studbay'
let &cpo = s:cpo
unlet s:cpo
