# Plans of studbay @VERSION@

hook global BufCreate .*\.bay %{
    set-option buffer filetype studbay
}

hook global WinSetOption filetype=studbay %{
    require-module studbay
    set-option window comment_line '#'
    set-option window indentwidth 2
    set-option window formatcmd 'studbay fmt -'
    set-option window lintcmd 'studbay check'
    set-option window extra_word_chars '_' '-'
    hook window -group studbay-hooks InsertChar \n studbay-indent
    hook -once -always window WinSetOption filetype=.* %{ remove-hooks window studbay-hooks }
}

hook -group studbay-highlight global WinSetOption filetype=studbay %{
    add-highlighter window/studbay ref studbay
    hook -once -always window WinSetOption filetype=.* %{ remove-highlighter window/studbay }
}

provide-module studbay %{
    add-highlighter shared/studbay regions
    add-highlighter shared/studbay/plan default-region group
    add-highlighter shared/studbay/text region '(?<![0-9])"' '(?<!\\)(?:\\\\)*"|$' fill string
    add-highlighter shared/studbay/comment region '#' '$' fill comment
    add-highlighter shared/studbay/plan/ regex '(?<![\w.-])(?:@OPTIONS:|@)(?![\w.-])' 0:attribute
    add-highlighter shared/studbay/plan/ regex '(?:^|[{};])\h*(\w[\w-]*)(?![\w.-])' 1:type
    add-highlighter shared/studbay/plan/ regex '(?:^|[{};])\h*(@STATEMENTS:|@)(?![\w.-])' 1:keyword
    add-highlighter shared/studbay/plan/ regex '-?[0-9]+(?:\.[0-9]+)?' 0:value
    add-highlighter shared/studbay/plan/ regex '\b[0-9]+(?:/[0-9]+)+(?:-\w+)*|\b[0-9]+x[0-9]+\b' 0:value
    add-highlighter shared/studbay/plan/ regex '->' 0:operator

    define-command -hidden studbay-indent %{
        evaluate-commands -draft -itersel %{
            try %{ execute-keys -draft <semicolon> K <a-&> }
            try %{ execute-keys -draft k x <a-k> \{\h*$ <ret> j <a-gt> }
            try %{ execute-keys -draft <semicolon> x <a-k> ^\h*\} <ret> <a-lt> }
        }
    }
}
