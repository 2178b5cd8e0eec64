"""Which of its two dresses the forest wears: compiled when it was built so, plain with NESTING_PURE=1 or without.

In: the environment. Out: the class Forest. Both give the same answers to the last piece; only the speed differs.
"""

from __future__ import annotations

import importlib.util
import os
from pathlib import Path
from typing import TYPE_CHECKING, Any

from nesting.packing import forest as _installed

if TYPE_CHECKING:
    from nesting.packing.forest import Forest


def plain_forest() -> Any:
    """The class Forest from the plain source, whether or not a compiled one lies beside it."""
    source = Path(__file__).with_name("forest.py")
    spec = importlib.util.spec_from_file_location("nesting.packing.forest_plain", source)
    if spec is None or spec.loader is None:
        return _installed.Forest
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module.Forest


def is_compiled() -> bool:
    """Whether the forest in use is the compiled one."""
    return not FOREST.__module__.endswith("plain") and not str(_installed.__file__).endswith(".py")


FOREST: type[Forest] = plain_forest() if os.environ.get("NESTING_PURE") == "1" else _installed.Forest
