"""One process that plans and draws again and again keeps little of it: a share of `benchmarks/hostile.py --soak`.

The benchmark watches the memory of a thousand plans; here pieces of memory are counted, which says after two plans
what its size says after many. Bounded caches still fill meanwhile.
"""

import gc
import sys

from hostile_outputs import small_match

from standmark.cli.commands.results import drawn_files
from standmark.cli.sheet.content import sheet_content
from standmark.cli.sheet.paper_sheet import sheet_pages
from standmark.optimizer.picture.stretch import plan_stretches
from standmark.optimizer.planning import plan

WARM, N = 1, 2
MOST_KEPT = 1500  # pieces of one plan and its drawings; 700 to 900 were counted


def n_pieces():
    gc.collect()
    return sys.getallocatedblocks()


def test_little_stays_of_a_plan_and_its_drawings():
    for number in range(WARM + N):
        if number == WARM:
            before = n_pieces()
        found = plan(small_match("Final"), advice="none")
        drawn_files(found)
    assert n_pieces() - before < N * MOST_KEPT
    before = n_pieces()
    pages = sheet_pages(sheet_content(found, plan_stretches(found)), paper="a4")
    assert n_pieces() - before > MOST_KEPT, "pages that stay are not noticed"
    assert pages
