"""Compiled templates, kept from one start of the program to the next where Python keeps its compiled modules."""

from __future__ import annotations

import sys
from contextlib import suppress
from pathlib import Path

from jinja2 import BytecodeCache
from jinja2.bccache import Bucket, FileSystemBytecodeCache


class TemplateCache(BytecodeCache):
    """Cache in a folder beside the templates; without it where that cannot be written, or Python may not write."""

    def __init__(self, templates: Path) -> None:
        self.folder = templates / "__pycache__"

    def load_bytecode(self, bucket: Bucket) -> None:
        """Take what an earlier start compiled from the same text."""
        with suppress(Exception):  # a damaged file may raise anything; the template is then compiled again
            self._files().load_bytecode(bucket)

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Keep what was compiled, if that can be done."""
        if not sys.dont_write_bytecode:
            with suppress(OSError):
                self.folder.mkdir(exist_ok=True)
                self._files().dump_bytecode(bucket)

    def _files(self) -> FileSystemBytecodeCache:
        return FileSystemBytecodeCache(str(self.folder), f"%s.{sys.implementation.cache_tag}.template")
