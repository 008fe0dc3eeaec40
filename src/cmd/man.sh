#!/bin/sh
# The man pages, made of what the binary says of itself: sh src/cmd/man.sh STUDBAY FOLDER
#
# studbay.1 and a page for each command, studbay-check.1 and so on, from their --help; studbay.5, the language, from the table of
# forms. In the markup of mdoc(7); `mandoc -T lint` has nothing to say of them.
set -eu
studbay=$1
mkdir -p "$2"
folder=$2
fields=$(cat "$(dirname "$0")/fields.awk")

# Lines of text for mdoc: signs that mean something there are quoted, a sentence begins a line of its own, none is longer than 78.
text='
function quoted(s) { gsub(/\\/, "\\e", s); return s }
function line_of(s) { print (s ~ /^[.\047]/ ? "\\&" : "") s }
function say(s,    n, i, word, out) {
    n = split(s, word, " ")
    out = ""
    for (i = 1; i <= n; i++) {
        if (out != "" && length(out) + 1 + length(word[i]) > 78) { line_of(out); out = "" }
        out = out (out == "" ? "" : " ") quoted(word[i])
        if (word[i] ~ /[.!?]\)?$/) { line_of(out); out = "" }
    }
    if (out != "") line_of(out)
}
function head(name, section) {
    print ".Dd November 30, 2026\n.Dt " toupper(name) " " section "\n.Os\n.Sh NAME\n.Nm " name
}
'

commands=$("$studbay" --help | sed -n '/^commands:/,/^$/s/^  \([a-z]*\) .*/\1/p')

for command in $commands; do
    "$studbay" "$command" --help | awk -v command="$command" "$text"'
    NR == 1 { usage = substr($0, length("usage: studbay " command " [OPTION...] ")); sub(/^ /, "", usage); next }
    NR == 3 {
        head("studbay-" command, 1)
        nd = substr($0, length(command ": ") + 1)
        sub(/\.$/, "", nd)
        print ".Nd " quoted(nd)
        print ".Sh SYNOPSIS"
        n = split(usage, way, /  \|  /)
        for (i = 1; i <= n || i == 1; i++) {
            print ".Nm studbay " command "\n.Op Ar option ..."
            m = split(way[i], word, " ")
            for (k = 1; k <= m; k++) {
                if (word[k] ~ /^-[a-z]$/) { print ".Fl " substr(word[k], 2) " Ar " word[k + 1]; k++ }
                else print ".Ar " (word[k] == "|" ? "or" : quoted(word[k]))
            }
        }
        print ".Sh DESCRIPTION"
        next
    }
    /^options:$/ { part = "options"; next }
    !part && /^  / { examples = examples quoted($0) "\n"; next }
    !part && NF { say($0); printed = 1; next }
    part == "options" && match($0, /^  (-[a-z], )?--[a-z-]+(\[=[A-Z]+\]| [A-Z][^ ]*)?/) {
        if (!listed++) print ".Pp\nThe options are as follows:\n.Bl -tag -width Ds"
        name = substr($0, 3, RLENGTH - 2)
        told = substr($0, RLENGTH + 1)
        letter = match(name, /^-[a-z], /) ? substr(name, 2, 1) : ""
        sub(/^-[a-z], /, "", name)
        word[2] = ""
        m = split(name, word, " ")
        if (at = index(word[1], "[=")) { # a value that may be left out
            word[2] = "Ns Oo = Ns Ar " substr(word[1], at + 2, length(word[1]) - at - 2) " Oc"
            word[1] = substr(word[1], 1, at - 1)
        } else if (m > 1) word[2] = "Ar " quoted(word[2])
        printf ".It %sFl \\-%s%s\n", (letter == "" ? "" : "Fl " letter " , "), substr(word[1], 3), (word[2] != "" ? " " word[2] : "")
        sub(/^ +/, "", told)
        say(told)
        next
    }
    END {
        print ".El\n.Sh EXIT STATUS"
        say("0 no errors, 1 errors in the plan, 2 bad usage or a file that cannot be read or written, 3 a proof that failed.")
        if (examples != "") printf ".Sh EXAMPLES\n.Bd -literal\n%s.Ed\n", examples
        print ".Sh SEE ALSO\n.Xr studbay 1 ,\n.Xr studbay 5"
    }' >"$folder/studbay-$command.1"
done

"$studbay" --help | awk "$text"'
NR == 1 {
    head("studbay", 1)
    print ".Nd " substr($0, length("studbay: ") + 1)
    print ".Sh SYNOPSIS\n.Nm\n.Ar command\n.Op Ar option ...\n.Ar plan\n.Nm\n.Fl \\-help | Fl \\-version\n.Sh DESCRIPTION"
    next
}
/^usage:|^   +studbay/ { next }
/^commands:$/ { print ".Pp\nThe commands are as follows; each has a page of its own:\n.Bl -tag -width Ds"; part = "commands"; next }
part == "commands" && /^  / { print ".It Ic " $1; one = $1; $1 = ""; say(substr($0, 2) ", see"); print ".Xr studbay-" one " 1 ."; names = names one " "; next }
/^exit status: / {
    print ".El\n.Sh ENVIRONMENT\n.Bl -tag -width Ds"
    print ".It Ev COLUMNS"; say("how wide text is, where --width does not say it.")
    print ".It Ev NO_COLOR"; say("findings are not coloured, whatever it holds.")
    print ".It Ev SOURCE_DATE_EPOCH"; say("the day of what has a date in it, in seconds since 1970: the same plan gives the same bytes.")
    print ".El\n.Sh EXIT STATUS"
    say(substr($0, length("exit status: ") + 1))
    part = "text"
    next
}
part == "text" && !NF { part = "cautions"; next }
part == "cautions" { cautions = cautions (cautions == "" ? "" : " ") $0; next }
NF { say($0) }
END {
    print ".Sh SEE ALSO"
    n = split(names, name, " ")
    m = 0
    for (i = 1; i <= n; i++) sorted[++m] = "studbay-" name[i]
    for (i = 1; i <= m; i++) for (k = i + 1; k <= m; k++) if (sorted[k] < sorted[i]) { t = sorted[i]; sorted[i] = sorted[k]; sorted[k] = t }
    for (i = 1; i <= m; i++) print ".Xr " sorted[i] " 1 ,"
    print ".Xr studbay 5\n.Sh CAVEATS"
    say(cautions)
}' >"$folder/studbay.1"

"$studbay" list forms --format csv | tr -d '\r' | awk "$text$fields"'
NR == 1 {
    head("studbay", 5)
    print ".Nd the language of electrical rough-in plans\n.Sh DESCRIPTION"
    say("A plan is text: statements, one a line, some with a block in braces behind them. What stands behind # is a comment.")
    print ".Pp"
    say("Below stands each form of a statement or clause, with what it may stand in and what it says. In a pattern <name> and its like are values, words in brackets may be left out, a|b is one of the two, and / parts two ways to write it.")
    print ".Bl -tag -width Ds"
    next
}
{
    fields($0)
    word = field[1] == "*" ? "NAME" : field[1]
    shown = word (word != "" && field[3] != "" ? " " : "") field[3]
    if (shown == "") next
    print ".It Li \"\\&" quoted(shown) "\""
    say(field[2] (field[2] ~ /\.$/ ? "" : ".") " Of: " field[4] "; stands in: " field[5] ".")
}
END { print ".El\n.Sh SEE ALSO\n.Xr studbay 1" }
' >"$folder/studbay.5"
