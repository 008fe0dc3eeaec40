#!/bin/sh
# The man page, made of what the binary says of itself: sh src/cmd/man.sh STUDBAY >studbay.1
set -eu
studbay=$1
{
    "$studbay" --version
    "$studbay" --help
    "$studbay" --help | sed -n '/^commands:/,/^$/s/^  \([a-z]*\) .*/\1/p' | while read -r command; do
        "$studbay" "$command" --help
    done
} | awk '
# what troff would take for its own
function plain(text) {
    gsub(/\\/, "\\e", text)
    gsub(/-/, "\\-", text)
    return (text ~ /^[.\047]/ ? "\\\\&" : "") text
}
function behind(text, start) { return plain(substr(text, length(start) + 1)) }

NR == 1 { version = $0; next }
NR == 2 {
    print ".TH STUDBAY 1 \"\" \"" version "\""
    print ".SH NAME\nstudbay \\- " behind($0, "studbay: ")
    next
}
/^usage: studbay COMMAND/ { print ".SH SYNOPSIS\n.nf"; part = "usage" }
part == "usage" && NF { print plain(substr($0, 8)); next }
part == "usage" { print ".fi\n.PP"; part = "text"; next }

/^commands:$/ { print ".SH COMMANDS"; part = "commands"; next }
part == "commands" && /^  / { print ".TP\n.B " plain($1); $1 = ""; print behind($0, " "); next }
/^exit status: / { print ".SH EXIT STATUS\n" behind($0, "exit status: "); part = "text"; next }

/^usage: / { print ".SH " toupper($3) "\n.nf\n" behind($0, "usage: ") "\n.fi"; part = "command"; next }
/^options:$/ { part = "options"; next }
part == "options" && match($0, /^  (-[a-z], )?--[a-z-]+( [A-Z][^ ]*)?/) {
    print ".TP\n.B " plain(substr($0, 3, RLENGTH - 2))
    sub(/^ +/, "", $0)
    text = substr($0, RLENGTH - 1)
    sub(/^ +/, "", text)
    print plain(text)
    next
}
# a line that begins with a blank is laid out as it is
/^ / { print ".RS\n.nf\n" plain($0) "\n.fi\n.RE"; next }
!NF { if (part) print ".PP"; next }
part == "command" { print plain($0) "\n.br"; next }
{ print plain($0) }
'
