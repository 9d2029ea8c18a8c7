"""Calls every function of the interface through ctypes and prints what comes back."""

import ctypes
import json
import sys

library = ctypes.CDLL(sys.argv[1])
library.apical_abi_version.restype = ctypes.c_uint32
library.apical_version.restype = ctypes.c_char_p
library.apical_is_valid.argtypes = [ctypes.c_char_p, ctypes.c_size_t]
library.apical_is_valid.restype = ctypes.c_int32
library.apical_free.argtypes = [ctypes.c_void_p]
library.apical_free.restype = None
for function in (library.apical_check, library.apical_describe):
    function.argtypes = [ctypes.c_char_p, ctypes.c_size_t]
    # Kept as an address, so that it can be given back.
    function.restype = ctypes.c_void_p


def asked(function, text):
    address = function(text, len(text))
    try:
        return ctypes.string_at(address).decode()
    finally:
        library.apical_free(address)


texts = [text.encode() for text in ("[ˈt͡ʃʰiːz]", "/bed:/", "a\u0303b")]
print(library.apical_abi_version(), library.apical_version().decode())
verdicts = [library.apical_is_valid(text, len(text)) for text in texts]
verdicts += [
    library.apical_is_valid(b"\xff", 1),
    library.apical_is_valid(b"", 0),
    library.apical_is_valid(None, 0),
]
print(*verdicts)
for function in (library.apical_check, library.apical_describe):
    for text in texts:
        answer = asked(function, text)
        assert json.loads(answer)["text"] == text.decode()
        print(answer)

# What is not UTF-8 is placed, and is a fault.
answer = json.loads(asked(library.apical_check, b"ta\xff\xfe"))
assert not answer["valid"]
(fault,) = answer["diagnostics"]
assert (fault["code"], fault["start"], fault["end"]) == ("utf8-ill-formed", 2, 3)
assert json.loads(asked(library.apical_describe, b"ta\xff"))["segments"] == []

# A text may hold a NUL, and may be long.
answer = json.loads(asked(library.apical_check, b"t\0a"))
assert answer["text"] == "t\0a" and not answer["valid"]
assert library.apical_is_valid(b"ta" * 100_000, 200_000) == 1
