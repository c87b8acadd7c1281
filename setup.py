"""The compiled parts, which are optional: without a compiler all is installed but them, and numpy does their work."""

from setuptools import Extension, setup
from setuptools.command.build_ext import build_ext

# Never -ffast-math: it takes away the rounding that exp is made of. Contracting a x + b would give other last digits
# on processors that have such an instruction.
UNIX_FLAGS = ["-O3", "-fno-math-errno", "-fno-trapping-math", "-ffp-contract=off"]


class BuildKernels(build_ext):
    """Building with the flags of the compiler's kind."""

    def build_extension(self, ext: Extension) -> None:
        """Compile one kernel."""
        ext.extra_compile_args = ["/O2"] if self.compiler.compiler_type == "msvc" else UNIX_FLAGS
        super().build_extension(ext)


def kernel(name: str, headers: list[str]) -> Extension:
    """Describe one kernel, which stands beside the Python code that it repeats."""
    return Extension(
        f"standmark.{name}",
        [f"{name.replace('.', '/')}.c"],
        depends=["geometry/compiled.h", *headers],
        py_limited_api=True,
        optional=True,
    )


setup(
    ext_modules=[
        kernel("geometry.sightlines.sight_kernel", []),
        kernel("optimizer.search.search_kernel", []),
        kernel("optimizer.value.value_kernel", ["optimizer/value/single_maths.h", "optimizer/value/crowd_kernel.h"]),
    ],
    cmdclass={"build_ext": BuildKernels},
    options={"bdist_wheel": {"py_limited_api": "cp311"}},
)
