#!/usr/bin/env python3
"""Small faults put into the source one at a time: does a test find each of them?

    tests/tools/mutants.py [--seed N] [--count N] [--jobs N] [--fast] [--san] WHERE...

WHERE is a folder, a file or FILE:LINE. Works in copies of the tree, one for each job, never in the
tree itself. Of each folder or file COUNT places are chosen by the seed, at most one in a function:
a comparison or a logical operator changed, + for -, a number one larger, a condition turned round,
a statement left out; of a line all. Each mutant is built; then the tests run until one fails: those
first whose names have a word of the file's path or that found others of its folder, quick ones
before slow ones. A mutant that nothing finds is a survivor: printed with its line, and the exit
status is 1. --fast leaves out the slow tests, for a first look; --san builds with the sanitizers,
which see reads past an end.

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
import threading
import time
from concurrent.futures import ThreadPoolExecutor

TREE = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
KNOWN = os.path.join(TREE, "tests", "tools", "survivors.txt")
COUNTED = "linear_test"  # has a library of its own, in the plain build alone

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


def in_functions(path):
    """For each function of a file: its mutants with all that names them."""
    with open(os.path.join(TREE, path)) as f:
        lines = f.read().split("\n")
    return [[(path, name, lines[m[0]], m) for m in found] for name, found in places(path)]


def choose(where, count, chance, known):
    """COUNT mutants of a folder or file, each of another function, without those that are known; or
    all of a line."""
    path, _, line = where.partition(":")
    if line:
        return [m for found in in_functions(path) for m in found if m[3][0] + 1 == int(line)]
    all_of_them = [found for path in sources(where) for found in in_functions(path)]
    chance.shuffle(all_of_them)
    chosen = []
    for found in all_of_them:
        m = chance.choice(found)
        if len(chosen) < count and words_of(*m) not in known:
            chosen.append(m)
    return chosen


def tell_stale(known):
    """Lines of survivors.txt that name no mutant of today's source."""
    there = {words_of(*m) for path in {words.split(" ")[0] for words in known}
             if os.path.exists(os.path.join(TREE, path)) for found in in_functions(path) for m in found}
    stale = [words for words in known if words not in there]
    for words in stale:
        print("survivors.txt: no such place:", words)
    return bool(stale)


class Copy:
    """A copy of the tree that is built in, and tested in."""

    def __init__(self, source, san):
        self.folder = tempfile.mkdtemp(prefix="mutants-")
        self.san = ["SAN=1"] if san else []
        self.out = "build-san" if san else "build"
        shutil.copytree(source, self.folder, dirs_exist_ok=True, ignore=self.left_behind)

    @staticmethod
    def left_behind(folder, names):
        return [n for n in names if folder == TREE and (n == ".git" or n.startswith("build"))]

    def run(self, command, seconds, **more):
        try:
            return subprocess.run(command, cwd=self.folder, timeout=seconds, text=True,
                                  stdout=subprocess.PIPE, stderr=subprocess.STDOUT, **more)
        except subprocess.TimeoutExpired:
            return None

    def build(self, what, jobs=1):
        flags = "CFLAGS=-std=gnu11 -O1 -g -w"
        done = self.run(["make", "-s", f"-j{jobs}", flags, *self.san, *what], 1800)
        self.said = done.stdout if done else "it takes too long"
        return done is not None and done.returncode == 0

    def programs(self):
        """All test programs, but those that are not built with the sanitizers."""
        named = [os.path.join(self.out, "tests", room, f[:-2]) for room in ("unit", "arch")
                 for f in sorted(os.listdir(os.path.join(self.folder, "tests", room)))
                 if f.endswith("_test.c")]
        return [p for p in named if not (self.san and p.endswith(COUNTED))]

    def passes(self, program, seconds):
        env = dict(os.environ, STUDBAY=os.path.join(self.folder, self.out, "studbay"),
                   TEST_SECONDS=str(seconds))
        if program.endswith(COUNTED) and not self.build([program]):
            return False
        done = self.run(["sh", "tests/tools/run_units.sh", program], seconds * 12, env=env)
        return done is not None and done.returncode == 0

    def seconds_of(self, program):
        """How long it takes by the clock, or None where it fails."""
        begun = time.monotonic()
        passed = self.passes(program, 300)
        return time.monotonic() - begun if passed else None

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

    def remove(self):
        shutil.rmtree(self.folder)


class Trial:
    """The mutants that wait, and what is known of the tests: their seconds, and what they found."""

    def __init__(self, mutants, first, jobs, left_out):
        self.waiting = mutants[::-1]
        self.seconds, self.found, self.survivors = {}, {}, 0
        self.lock = threading.Lock()
        programs = [p for p in first.programs() if os.path.basename(p)[:-len("_test")] not in left_out]
        with ThreadPoolExecutor(jobs) as pool:
            for program, took in zip(programs, pool.map(first.seconds_of, programs)):
                if took is None:
                    sys.exit(f"mutants: {program} fails without any fault put in")
                self.seconds[program] = took

    def in_order(self, path):
        """The programs that are the likeliest to find a fault of a file first, the slow ones last."""
        stems = {w.rstrip("s") for w in re.findall(r"[a-z]{4,}", path)} - {"model", "rule"}
        folder = os.path.dirname(path)

        def rank(program):
            named = any(s in os.path.basename(program) for s in stems)
            hits = self.found.get((folder, program), 0) + 2 * named
            return (self.seconds[program] + 0.2) / (1 + 5 * hits), program
        return sorted(self.seconds, key=rank)

    def who_finds(self, copy, path):
        """What became of a mutant: who found it, or None for a survivor."""
        built = [p for p in self.seconds if not p.endswith(COUNTED)]
        if not copy.build([*built, f"{copy.out}/studbay"]):
            return "the compiler"
        for program in self.in_order(path):
            if not copy.passes(program, int(20 + 20 * self.seconds[program])):
                with self.lock:
                    self.found[os.path.dirname(path), program] = \
                        self.found.get((os.path.dirname(path), program), 0) + 1
                return os.path.basename(program)
        return None

    def work(self, copy):
        while True:
            with self.lock:
                if not self.waiting:
                    return
                m = self.waiting.pop()
            copy.change(m[0], m[3])
            by = self.who_finds(copy, m[0])
            copy.restore(m[0])
            with self.lock:
                self.survivors += by is None
                print(f"{by or 'SURVIVES'}: {m[0]}:{m[3][0] + 1}: {words_of(*m)}", flush=True)


def slow_tests():
    """The tests that the Makefile's fast tier leaves out."""
    with open(os.path.join(TREE, "Makefile")) as f:
        return re.search(r"^SLOW *:= *(.*)$", f.read(), re.M).group(1).split()


def try_all(chosen, jobs, san, left_out):
    copies = [Copy(TREE, san)]
    try:
        if not copies[0].build(["check-programs"], jobs):
            sys.exit("mutants: the tree itself does not build\n" + copies[0].said)
        trial = Trial(chosen, copies[0], jobs, left_out)
        copies += [Copy(copies[0].folder, san) for _ in range(min(jobs, len(chosen)) - 1)]
        threads = [threading.Thread(target=trial.work, args=(copy,)) for copy in copies]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        print(f"{len(chosen)} mutants, {trial.survivors} survivors")
        return trial.survivors > 0
    finally:
        for copy in copies:
            copy.remove()


def main():
    options = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--count", type=int, default=10)
    options.add_argument("--jobs", type=int, default=os.cpu_count())
    options.add_argument("--fast", action="store_true", help="without the slow tests")
    options.add_argument("--san", action="store_true", help="builds with the sanitizers")
    options.add_argument("--list", action="store_true", help="names the mutants and tries none")
    options.add_argument("where", nargs="+")
    asked = options.parse_args()
    known = read_known()
    stale = tell_stale(known)
    chosen = [m for where in asked.where
              for m in choose(where, asked.count, random.Random(f"{asked.seed} {where}"), known)]
    if asked.list:
        print("\n".join(words_of(*m) for m in chosen))
        return stale
    return try_all(chosen, asked.jobs, asked.san, slow_tests() if asked.fast else []) or stale


if __name__ == "__main__":
    sys.exit(main())
