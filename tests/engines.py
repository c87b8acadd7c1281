"""Running the same work in numpy and in the compiled kernels."""

from standmark.geometry.compiled import ENGINE, kernel

KERNELS = (
    "standmark.geometry.sightlines.sight_kernel",
    "standmark.optimizer.search.search_kernel",
    "standmark.optimizer.value.value_kernel",
)
ENGINES = ("numpy", "compiled")


def use(engine, monkeypatch):
    """Let one engine do the heavy work for the rest of a test."""
    monkeypatch.setenv(ENGINE, engine)
    for name in KERNELS:
        assert (kernel(name) is None) == (engine == "numpy"), f"{name} is not built: bash tests/setup.sh builds it"


def in_both(work, monkeypatch):
    """What some work gives in numpy, and in the compiled kernels."""
    found = []
    for engine in ENGINES:
        use(engine, monkeypatch)
        found.append(work())
    return found
