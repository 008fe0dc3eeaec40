# The fields of a line of CSV (RFC 4180: one with commas stands in quotes, a quote in it twice) into field[1], field[2], ...; for
# the scripts that read what `studbay list` says.
function fields(line,    n, c, inside, i) {
    split("", field)
    n = 1
    for (i = 1; i <= length(line); i++) {
        c = substr(line, i, 1)
        if (c == "\"" && inside && substr(line, i + 1, 1) == "\"") { field[n] = field[n] c; i++ }
        else if (c == "\"") inside = !inside
        else if (c == "," && !inside) n++
        else field[n] = field[n] c
    }
}
