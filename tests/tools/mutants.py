#!/usr/bin/env python3
"""Small faults put into the source one at a time: does a test find each of them?

    tests/tools/mutants.py [--seed N] [--count N] [--jobs N] FOLDER_OR_FILE...

Works in a copy of the tree, never in the tree itself. Of each folder or file, COUNT places are
chosen by the seed, at most one in a function: a comparison or a logical operator changed, + for -,
a number one larger, a condition turned round, a statement left out. Each mutant is built; then the
tests run, those whose names have a word of the file's path first, until one fails. One that nothing
finds is a survivor: printed with its line, and the exit status is 1.

tests/tools/survivors.txt holds those that have no effect which a test could see, with the reason.
They are not tried. A line of that file whose place is no longer there is told.
"""

import argparse
import os
import random
import re
import shutil
import subprocess
import sys
import tempfile

TREE = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
KNOWN = os.path.join(TREE, "tests", "tools", "survivors.txt")

SWAPS = {
    "<": "<=", "<=": "<", ">": ">=", ">=": ">", "==": "!=", "!=": "==",
    "&&": "||", "||": "&&", "+": "-", "-": "+",
}
# binary operators as the formatter writes them: a blank on both sides
OPERATOR = re.compile(r"(?<= )(<=|>=|==|!=|&&|\|\||<|>|\+|-)(?= )")
NUMBER = re.compile(r"(?<![\w.])(\d+)(?![\w.])")
CONDITION = re.compile(r"^\s*(?:\} else )?if \((?=.*\)( \{)?$)")
STATEMENT = re.compile(r"^\s+(?!return|break|continue|goto|case|default|else|if|for|while|do|struct|"
                       r"const|static|enum|union|uint|int|bool|char|double|size_t|length|void|VEC)"
                       r"[\w*(][^{}]*;$")
HIDDEN = re.compile(r'"(?:\\.|[^"\\])*"|\'(?:\\.|[^\'\\])*\'|/\*.*?\*/|//.*', re.S)


def hidden(text):
    """The text with what is in strings and comments made blank, each byte in its place."""
    return HIDDEN.sub(lambda m: re.sub(r"[^\n]", " ", m.group()), text)


def functions(lines):
    """(name, first line, line behind the last) of the body of each function."""
    start = name = None
    for i, line in enumerate(lines):
        if line == "{" and start is None:
            head = " ".join(lines[max(0, i - 4):i])
            names = re.findall(r"(\w+)\(", head)
            start, name = i + 1, names[-1] if names else "?"
        elif line == "}" and start is not None:
            yield name, start, i
            start = None


def mutants_of_line(number, line, plain):
    for m in OPERATOR.finditer(plain):
        yield number, m.start(), m.end(), SWAPS[m.group()]
    for m in NUMBER.finditer(plain):
        yield number, m.start(), m.end(), str(int(m.group()) + 1)
    m = CONDITION.match(plain)
    if m:
        yield number, m.end() - 1, len(plain.rstrip(" {")), "(!" + line[m.end() - 1:].rstrip(" {") + ")"
    if STATEMENT.match(plain) and "(" in plain or re.match(r"^\s+[\w>.\[\]-]+ [+|&-]?= ", plain):
        if plain.endswith(";") and plain.count("(") == plain.count(")"):
            yield number, len(line) - len(line.lstrip()), len(line), ";"


def places(path):
    """For each function of a file: its name and all its mutants (line, from, to, by what)."""
    with open(os.path.join(TREE, path)) as f:
        text = f.read()
    lines, plain = text.split("\n"), hidden(text).split("\n")
    for name, first, behind in functions(plain):
        found = [m for i in range(first, behind) for m in mutants_of_line(i, lines[i], plain[i])]
        if found:
            yield name, found


def words_of(path, name, line, mutant):
    """A mutant as survivors.txt names it: by its text, so that lines may move."""
    before = line.strip()
    after = (line[:mutant[1]] + mutant[3] + line[mutant[2]:]).strip()
    return f"{path} {name}: {before} => {after}"


def read_known():
    known = {}
    if os.path.exists(KNOWN):
        with open(KNOWN) as f:
            for line in f:
                if line.strip() and not line.startswith(("#", " ")):
                    known[line.rstrip("\n")] = True
    return known


def sources(where):
    full = os.path.join(TREE, where)
    if os.path.isfile(full):
        return [where]
    return sorted(os.path.relpath(os.path.join(d, f), TREE)
                  for d, _, files in os.walk(full) for f in files if f.endswith(".c"))


def choose(where, count, chance, known):
    """COUNT mutants of a folder, each of another function, without those that are known."""
    all_of_them = []
    for path in sources(where):
        with open(os.path.join(TREE, path)) as f:
            lines = f.read().split("\n")
        for name, found in places(path):
            all_of_them.append([(path, name, lines[m[0]], m) for m in found])
    chance.shuffle(all_of_them)
    chosen = []
    for found in all_of_them:
        m = chance.choice(found)
        if len(chosen) < count and words_of(*m) not in known:
            chosen.append(m)
    return chosen


def tell_stale(known):
    """Lines of survivors.txt that name no mutant of today's source."""
    there = set()
    for path in {words.split(" ")[0] for words in known}:
        if os.path.exists(os.path.join(TREE, path)):
            with open(os.path.join(TREE, path)) as f:
                lines = f.read().split("\n")
            for name, found in places(path):
                there |= {words_of(path, name, lines[m[0]], m) for m in found}
    stale = [words for words in known if words not in there]
    for words in stale:
        print("survivors.txt: no such place:", words)
    return bool(stale)


class Copy:
    """A copy of the tree that is built in, and tested in."""

    def __init__(self, jobs):
        self.folder = tempfile.mkdtemp(prefix="mutants-")
        self.jobs = jobs
        shutil.copytree(TREE, self.folder, dirs_exist_ok=True,
                        ignore=shutil.ignore_patterns(".git", "build-*"))

    def run(self, command, seconds, **more):
        try:
            return subprocess.run(command, cwd=self.folder, timeout=seconds, text=True,
                                  stdout=subprocess.PIPE, stderr=subprocess.STDOUT, **more)
        except subprocess.TimeoutExpired:
            return None

    def build(self):
        flags = "CFLAGS=-std=gnu11 -O1 -g -w"
        done = self.run(["make", "-s", f"-j{self.jobs}", flags, "check-programs"], 1200)
        return done is not None and done.returncode == 0

    def programs(self):
        return [os.path.join("build", "tests", room, f[:-2]) for room in ("unit", "arch")
                for f in sorted(os.listdir(os.path.join(self.folder, "tests", room)))
                if f.endswith("_test.c")]

    def passes(self, program):
        env = dict(os.environ, STUDBAY=os.path.join(self.folder, "build", "studbay"),
                   TEST_SECONDS="240")
        done = self.run(["sh", "tests/tools/run_units.sh", program], 900, env=env)
        return done is not None and done.returncode == 0

    def change(self, path, mutant):
        full = os.path.join(self.folder, path)
        with open(full) as f:
            lines = f.read().split("\n")
        line = lines[mutant[0]]
        lines[mutant[0]] = line[:mutant[1]] + mutant[3] + line[mutant[2]:]
        with open(full, "w") as f:
            f.write("\n".join(lines))

    def restore(self, path):
        shutil.copyfile(os.path.join(TREE, path), os.path.join(self.folder, path))


def in_order(programs, path):
    """The programs with a word of the path in their names first, the slow ones last."""
    with open(os.path.join(TREE, "Makefile")) as f:
        slow = re.search(r"^SLOW *:= *(.*)$", f.read(), re.M).group(1).split()
    words = set(re.findall(r"[a-z]{4,}", path)) - {"model", "rules"}
    stems = {w.rstrip("s") for w in words}

    def rank(program):
        name = os.path.basename(program)
        return (not any(s in name for s in stems), any(s in name for s in slow), name)
    return sorted(programs, key=rank)


def try_one(copy, programs, mutant):
    """What became of a mutant: who found it, or None for a survivor."""
    path = mutant[0]
    copy.change(path, mutant[3])
    try:
        if not copy.build():
            return "the compiler"
        for program in in_order(programs, path):
            if not copy.passes(program):
                return os.path.basename(program)
        return None
    finally:
        copy.restore(path)


def main():
    options = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--count", type=int, default=10)
    options.add_argument("--jobs", type=int, default=os.cpu_count())
    options.add_argument("--list", action="store_true", help="names the mutants and tries none")
    options.add_argument("where", nargs="+")
    asked = options.parse_args()
    known = read_known()
    failed = tell_stale(known)
    chosen = [m for where in asked.where
              for m in choose(where, asked.count, random.Random(f"{asked.seed} {where}"), known)]
    if asked.list:
        print("\n".join(words_of(*m) for m in chosen))
        return failed
    copy = Copy(asked.jobs)
    try:
        if not copy.build():
            sys.exit("mutants: the tree itself does not build")
        programs = copy.programs()
        survivors = 0
        for m in chosen:
            by = try_one(copy, programs, m)
            survivors += by is None
            print(f"{by or 'SURVIVES'}: {m[0]}:{m[3][0] + 1}: {words_of(*m)}", flush=True)
        print(f"{len(chosen)} mutants, {survivors} survivors")
        return failed or survivors > 0
    finally:
        shutil.rmtree(copy.folder)


if __name__ == "__main__":
    sys.exit(main())
