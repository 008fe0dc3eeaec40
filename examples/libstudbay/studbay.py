"""libstudbay from Python, by nothing but ctypes: as much of it as a script wants.

    import studbay
    with studbay.Plan("loft.bay") as plan:
        for finding in plan.findings():
            print(finding.place, finding.message)
        print(plan.report("cuts"))

A plan that lies in memory:  studbay.Plan("loft.bay", texts={"loft.bay": "plan ..."})
The library is looked for where the system looks, or at the path that LIBSTUDBAY names.
As a program:  python3 studbay.py PLAN [REPORT [FORMAT]]
"""
import ctypes
import os
import sys
from ctypes import POINTER, Structure, byref, c_bool, c_char_p, c_int, c_int64, c_size_t, c_uint, c_void_p

_lib = ctypes.CDLL(os.environ.get("LIBSTUDBAY", "libstudbay.so.0"))
_WRITE = ctypes.CFUNCTYPE(c_int, c_void_p, POINTER(ctypes.c_char), c_size_t)
DONE, UNREADABLE = 0, 2
SEVERITIES = ("error", "warning", "note")


class _Writer(Structure):
    _fields_ = [("write", _WRITE), ("to", c_void_p)]


class _Text(Structure):
    _fields_ = [("name", c_char_p), ("bytes", c_char_p), ("size", c_size_t)]


class _Opening(Structure):
    _fields_ = [("size", c_size_t), ("library", c_void_p), ("folder", c_char_p), ("memory", c_void_p),
                ("texts", POINTER(_Text)), ("text_count", c_size_t), ("log", c_char_p), ("only", c_char_p),
                ("depth", c_int), ("cut_list", c_bool)]


class _Wants(Structure):
    """The beginning of the struct: its size says so."""
    _fields_ = [("size", c_size_t), ("format", c_char_p)]


class _Place(Structure):
    _fields_ = [("file", c_char_p), ("offset", c_size_t), ("length", c_size_t), ("line", c_uint),
                ("column", c_uint), ("end_line", c_uint), ("end_column", c_uint)]


class _Finding(Structure):
    """What a script wants of it; the rest lies behind."""
    _fields_ = [("rule", c_char_p), ("severity", c_int), ("place", _Place), ("message", c_char_p),
                ("article", c_char_p), ("mend", c_char_p), ("subject", c_char_p), ("waived", c_char_p)]


class _Cable(Structure):
    _fields_ = [("name", c_char_p), ("pieces", c_uint), ("cut", c_int64)]


_lib.studbay_version.restype = c_char_p
_lib.studbay_status_words.restype = c_char_p
_lib.studbay_error_words.restype = c_char_p
_lib.studbay_error_words.argtypes = [c_void_p]
_lib.studbay_open.argtypes = [c_char_p, POINTER(_Opening), POINTER(c_void_p)]
_lib.studbay_close.argtypes = [c_void_p]
_lib.studbay_findings.argtypes = [c_void_p, POINTER(c_size_t)]
_lib.studbay_findings.restype = POINTER(POINTER(_Finding))
_lib.studbay_cables.argtypes = [c_void_p, POINTER(c_size_t)]
_lib.studbay_cables.restype = POINTER(POINTER(_Cable))
_lib.studbay_write_report.argtypes = [c_void_p, c_char_p, POINTER(_Wants), _Writer]


def version():
    return _lib.studbay_version().decode()


class Error(Exception):
    pass


class Finding:
    def __init__(self, f):
        def text(value):
            return None if value is None else value.decode()
        self.rule, self.severity = text(f.rule), SEVERITIES[f.severity]
        self.message, self.article, self.mend = text(f.message), text(f.article), text(f.mend)
        self.file, self.line, self.column = text(f.place.file), f.place.line, f.place.column
        self.waived = text(f.waived)

    @property
    def place(self):
        return f"{self.file}:{self.line}:{self.column}"


class Plan:
    def __init__(self, path, texts=None):
        how = _Opening(size=ctypes.sizeof(_Opening))
        if texts:
            pairs = [(name.encode(), text.encode()) for name, text in texts.items()]
            how.texts = (_Text * len(pairs))(*[(name, text, len(text)) for name, text in pairs])
            how.text_count = len(pairs)
        self._plan = c_void_p()
        status = _lib.studbay_open(os.fsencode(path), byref(how), byref(self._plan))
        if status not in (DONE, UNREADABLE):
            raise Error(_lib.studbay_status_words(status).decode())

    def close(self):
        _lib.studbay_close(self._plan)
        self._plan = c_void_p()

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.close()

    def findings(self):
        count = c_size_t()
        found = _lib.studbay_findings(self._plan, byref(count))
        return [Finding(found[i].contents) for i in range(count.value)]

    def cables(self):
        """(name, pieces, inches) of each sort of cable."""
        count = c_size_t()
        found = _lib.studbay_cables(self._plan, byref(count))
        return [(found[i].contents.name.decode(), found[i].contents.pieces, found[i].contents.cut / 1016000)
                for i in range(count.value)]

    def report(self, name, format="text"):
        written = []

        def write(_, data, size):
            written.append(data[:size])
            return 0
        wants = _Wants(ctypes.sizeof(_Wants), format.encode())
        status = _lib.studbay_write_report(self._plan, name.encode(), byref(wants), _Writer(_WRITE(write), None))
        if status != DONE:
            why = _lib.studbay_error_words(self._plan) or _lib.studbay_status_words(status)
            raise Error(why.decode())
        return b"".join(written).decode()


def _main(words):
    if not 1 <= len(words) <= 3:
        sys.exit(__doc__)
    with Plan(words[0]) as plan:
        for f in plan.findings():
            print(f"{f.place}: {f.severity}: {f.message} [{f.rule}]", file=sys.stderr)
        try:
            print(plan.report(*words[1:] or ["cuts"]), end="")
        except Error as why:
            sys.exit(f"studbay.py: {why}")


if __name__ == "__main__":
    _main(sys.argv[1:])
