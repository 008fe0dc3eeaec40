#!/bin/sh
# Completions for a shell, made of what the binary lists of itself: sh src/cmd/completions.sh STUDBAY bash|zsh|fish
#
# Names of boxes, circuits and the like are asked of the plan that stands on the line, while one types.
set -eu
studbay=$1
shell=$2
fields=$(cat "$(dirname "$0")/fields.awk")

us=$(printf '\037') # parts the columns: a tab would let empty ones vanish

# The columns of a list that are asked for, by their numbers.
list() {
    what=$1
    shift
    "$studbay" list "$what" --format csv | tr -d '\r' | awk -v wanted="$*" "$fields"'
    NR > 1 {
        fields($0)
        n = split(wanted, at, " ")
        for (i = 1; i <= n; i++) printf "%s%s", field[at[i]], i < n ? "\037" : "\n"
    }'
}

words() { list "$1" 1 | tr '\n' ' '; }
quoted() { sed "s/'/'\\\\''/g"; } # for a text between single quotes
values() { list values 1 2 | sed -n "s/$us$1\$//p" | tr '\n' ' '; } # of a sort: event, paper, grid, ...
events="$(values event)not undo"

# What may stand for the value of an option, by what it is called: a list of words, names of the plan by sort, or files.
value_of() { # value_of OPTION VALUE
    case $1:$2 in
    box:*) echo "names box" ;;
    circuit:*) echo "names circuit" ;;
    room:*) echo "names room" ;;
    level:*) echo "names level" ;;
    explain:*) echo "names run" ;;
    wall:*) echo "words north east south west" ;;
    format:*) echo "words text csv json md sarif dot svg pdf png" ;;
    paper:*) echo "words $(values paper)" ;;
    sheet:*) echo "words $(values grid)" ;;
    only:*) echo "words $(values sort)$(words rules)" ;;
    method:*) echo "words $(values method)" ;;
    *:PATH | *:DIR | *:FILE) echo "files" ;;
    *) echo "none" ;;
    esac
}

# What may stand where no option does, behind a command.
operands_of() { # operands_of COMMAND
    case $1 in
    report) echo "words $(words reports) all" ;;
    propose) echo "words $(values proposal)" ;;
    draw) echo "words $(words drawings)" ;;
    list) echo "words $(values list)" ;;
    explain) echo "words $(words rules)" ;;
    log) echo "log" ;;
    *) echo "plans" ;;
    esac
}

# A case for each option that takes a value: "COMMAND:--OPTION", parted by $1, then the line of the shell for names of the plan,
# for words, for files, and for what cannot be told, each as printf has it.
value_cases() { # value_cases BETWEEN NAMES WORDS FILES NONE
    list options 1 3 4 | while IFS=$us read -r name value of; do
        case $value in '' | '['*) continue ;; esac # what may be left out is no word of its own
        cases=$(echo "$of" | sed "s/; */:--$name$1/g; s/\$/:--$name/")
        [ "$name" != output ] || cases="$cases$1*:-o"
        told=$(value_of "$name" "$value")
        what=${told#* }
        # shellcheck disable=SC2059  # the formats are those below
        case $told in
        names*) printf "$2\n" "$cases" "$what" ;;
        words*) printf "$3\n" "$cases" "$what" ;;
        files*) printf "$4\n" "$cases" ;;
        *) printf "$5\n" "$cases" ;;
        esac
    done
}

case $shell in
bash)
    cat <<'END'
# bash completion for studbay
_studbay_names() { # SORT PLAN
    [ -n "$2" ] && studbay list names "$2" --format csv 2>/dev/null | tr -d '\r' | sed -n "s/^$1,//p" | tr -d '"'
}
_studbay() {
    local cur=${COMP_WORDS[COMP_CWORD]} prev=${COMP_WORDS[COMP_CWORD-1]} command= plan= operands=0 word i
    for ((i = 1; i < COMP_CWORD; i++)); do
        word=${COMP_WORDS[i]}
        case $word in
        -*) ;;
        *) [ -z "$command" ] && command=$word || operands=$((operands + 1)) ;;
        esac
    done
    for word in "${COMP_WORDS[@]}"; do
        case $word in *.bay) plan=${plan:-$word} ;; esac
    done
    COMPREPLY=()
    local IFS=$'\n'
    if [ -z "$command" ]; then
END
    printf "        COMPREPLY=(\$(IFS=' '; compgen -W '%s --help --version' -- \"\$cur\"))\n        return\n    fi\n    case \$command:\$prev in\n" \
        "$(words commands)"
    value_cases ' | ' '    %s) COMPREPLY=($(compgen -W "$(_studbay_names %s "$plan")" -- "$cur")) && return ;;' \
        "    %s) COMPREPLY=(\$(IFS=' '; compgen -W '%s' -- \"\$cur\")) && return ;;" \
        '    %s) COMPREPLY=($(compgen -f -- "$cur")) && return ;;' '    %s) return ;;'
    printf '    esac\n    if [[ $cur == -* ]]; then\n        case $command in\n'
    for command in $(words commands); do
        printf "        %s) COMPREPLY=(\$(IFS=' '; compgen -W '" "$command"
        list options 1 4 | awk -F '\037' -v c="$command" '{ n = split($2, of, "; "); for (i = 1; i <= n; i++) if (of[i] == c) printf "--%s ", $1 }'
        printf -- "--help' -- \"\$cur\")) ;;\n"
    done
    printf '        esac\n        return\n    fi\n    case $command:$operands in\n'
    for command in $(words commands); do
        set -- $(operands_of "$command")
        kind=$1
        shift
        case $kind in
        words) printf "    %s:0) COMPREPLY=(\$(IFS=' '; compgen -W '%s' -- \"\$cur\")) && return ;;\n" "$command" "$*" ;;
        log)
            printf "    log:1) COMPREPLY=(\$(IFS=' '; compgen -W '%s' -- \"\$cur\")) && return ;;\n" "$events"
            printf '    log:[2-9]) COMPREPLY=($(compgen -W "$(_studbay_names "\\(box\\|room\\|panel\\)" "$plan")" -- "$cur")) && return ;;\n'
            ;;
        esac
    done
    cat <<'END'
    esac
    COMPREPLY=($(compgen -f -X '!*.bay' -- "$cur") $(compgen -d -- "$cur"))
}
complete -o filenames -F _studbay studbay
END
    ;;
zsh)
    cat <<'END'
#compdef studbay
_studbay_names() { # SORT PLAN
  [[ -n $2 ]] && compadd -- ${(f)"$(studbay list names $2 --format csv 2>/dev/null | tr -d '\r' | sed -n "s/^$1,//p" | tr -d '"')"}
}
_studbay() {
  local command= plan= word previous=${words[CURRENT-1]}
  integer operands=0 i
  for ((i = 2; i < CURRENT; i++)); do
    word=${words[i]}
    if [[ $word != -* ]]; then
      [[ -z $command ]] && command=$word || operands+=1
    fi
  done
  for word in $words; do
    [[ $word == *.bay && -z $plan ]] && plan=$word
  done
  if [[ -z $command ]]; then
    local -a commands=(
END
    list commands 1 2 | quoted | awk -F '\037' '{ gsub(/:/, "\\:", $2); printf "      '\''%s:%s'\''\n", $1, $2 }'
    printf '    )\n    _describe command commands\n    return\n  fi\n  case $command:$previous in\n'
    value_cases '|' '    %s) _studbay_names %s $plan; return ;;' '    %s) compadd -- %s; return ;;' \
        '    %s) _files; return ;;' '    %s) return ;;'
    printf '  esac\n  if [[ $PREFIX == -* ]]; then\n    local -a options\n    case $command in\n'
    for command in $(words commands); do
        printf '      %s) options=(\n' "$command"
        list options 1 2 4 | quoted | awk -F '\037' -v c="$command" '
        { n = split($3, of, "; "); gsub(/:/, "\\:", $2)
          for (i = 1; i <= n; i++) if (of[i] == c) printf "        '\''--%s:%s'\''\n", $1, $2 }'
        printf "        '--help:this help') ;;\n"
    done
    printf '    esac\n    _describe option options\n    return\n  fi\n  case $command:$operands in\n'
    for command in $(words commands); do
        set -- $(operands_of "$command")
        kind=$1
        shift
        case $kind in
        words) printf '    %s:0) compadd -- %s; return ;;\n' "$command" "$*" ;;
        log)
            printf '    log:1) compadd -- %s; return ;;\n' "$events"
            printf "    log:[2-9]) _studbay_names '\\\\(box\\\\|room\\\\|panel\\\\)' \$plan; return ;;\n"
            ;;
        esac
    done
    printf "  esac\n  _files -g '*.bay'\n}\n_studbay \"\$@\"\n"
    ;;
fish)
    cat <<'END'
# fish completion for studbay
function __studbay_names # SORT
    set -l plan (string match -r '\S+\.bay' -- (commandline -op))
    test -n "$plan[1]"; or return
    studbay list names $plan[1] --format csv 2>/dev/null | string replace -r '\r$' '' | string replace -fr "^$argv[1]," '' | string replace -a '"' ''
end
function __studbay_operands # COMMAND COUNT: whether that command has so many operands
    set -l words (string match -v -- '-*' (commandline -opc))
    test (count $words) -eq (math $argv[2] + 2); and test "$words[2]" = $argv[1]
end
complete -c studbay -f
complete -c studbay -n '__fish_use_subcommand' -l help -d 'this help'
complete -c studbay -n '__fish_use_subcommand' -l version -d 'the version'
complete -c studbay -n 'not __fish_use_subcommand' -a '(__fish_complete_suffix .bay)'
END
    list commands 1 2 | quoted | awk -F '\037' '{ printf "complete -c studbay -n __fish_use_subcommand -a %s -d '\''%s'\''\n", $1, $2 }'
    list options 1 2 3 4 | while IFS=$us read -r name says value of; do
        letter=
        [ "$name" != output ] || letter='-s o '
        argument=
        if [ -n "${value%%\[*}" ]; then
            set -- $(value_of "$name" "$value")
            kind=$1
            shift
            case $kind in
            names) argument="-x -a '(__studbay_names $1)'" ;;
            words) argument="-x -a '$*'" ;;
            files) argument=-rF ;;
            none) argument=-x ;;
            esac
        fi
        printf "complete -c studbay -n '__fish_seen_subcommand_from %s' %s-l %s %s -d '%s'\n" \
            "$(echo "$of" | sed 's/; / /g')" "$letter" "$name" "$argument" "$(echo "$says" | quoted)"
    done
    for command in $(words commands); do
        set -- $(operands_of "$command")
        kind=$1
        shift
        case $kind in
        words) printf "complete -c studbay -n '__studbay_operands %s 0' -a '%s'\n" "$command" "$*" ;;
        log)
            printf "complete -c studbay -n '__studbay_operands log 1' -a '%s'\n" "$events"
            for n in 2 4; do
                printf "complete -c studbay -n '__studbay_operands log %s' -a '(__studbay_names box; __studbay_names room; __studbay_names panel)'\n" $n
            done
            ;;
        esac
    done
    ;;
*)
    echo "completions: no shell is called $shell: bash, zsh or fish" >&2
    exit 2
    ;;
esac
