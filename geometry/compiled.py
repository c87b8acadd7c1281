"""Which engine does the heaviest work: kernels compiled from C where they were built, else the numpy code beside them.

Setting the environment variable STANDMARK_ENGINE to numpy leaves the kernels out, so that the two can be compared.
"""

from __future__ import annotations

import os
from functools import cache
from importlib import import_module
from types import ModuleType

ENGINE = "STANDMARK_ENGINE"
N_THREADS = 2
MOST_ON_ONE_THREAD = 1 << 18  # pairs of place and target, under which starting a second thread does not pay


def kernel(name: str) -> ModuleType | None:
    """Give a compiled module, or None where numpy has to do its work.

    Parameters
    ----------
    name : such as "standmark.optimizer.value.value_kernel"
    """
    return None if os.environ.get(ENGINE) == "numpy" else _built(name)


@cache
def _built(name: str) -> ModuleType | None:
    try:
        return import_module(name)
    except ImportError:
        return None
