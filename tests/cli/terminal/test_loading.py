"""Loading with the garbage collector off leaves it as it was."""

import gc

import pytest

from standmark.cli.terminal.loading import uncollected


def test_the_collector_is_off_while_modules_load_and_on_again_after():
    assert gc.isenabled()
    with uncollected():
        assert not gc.isenabled()
    assert gc.isenabled()
    gc.unfreeze()


def test_it_is_on_again_after_a_module_that_fails():
    with pytest.raises(ImportError), uncollected():
        raise ImportError
    assert gc.isenabled()
    gc.unfreeze()
