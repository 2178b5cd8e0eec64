"""Compiles the one hot module when Cython and a compiler are at hand; without them the plain source is installed.

NESTING_PURE=1 leaves the compiling out. Everything else about the build stands in pyproject.toml.
"""

import os
import sys

from setuptools import Extension, setup

HOT = ("nesting/packing/forest.py",)
DIRECTIVES = {
    "language_level": 3,
    "annotation_typing": False,
    "boundscheck": False,
    "wraparound": False,
    "initializedcheck": False,
    "cdivision": True,
}


def extensions() -> list[Extension]:
    """The optional extensions; none where they cannot be translated."""
    if os.environ.get("NESTING_PURE") == "1":
        return []
    try:
        from Cython.Build import cythonize
        from Cython.Compiler.Errors import CompileError
    except ImportError:
        return []
    flags = [] if sys.platform == "win32" else ["-O3", "-ffp-contract=off"]
    modules = [
        Extension(source.removesuffix(".py").replace("/", "."), [source], extra_compile_args=flags)
        for source in HOT
    ]
    try:
        found: list[Extension] = cythonize(modules, compiler_directives=DIRECTIVES, build_dir="build", quiet=True)
    except CompileError:
        return []
    for module in found:
        module.optional = True  # set here, since translating makes new objects: a missing compiler is no error
    return found


setup(ext_modules=extensions())
