"""One browser for all tests of the page; each opens an address of its own in it."""

import pytest
from open_page import new_browser


@pytest.fixture(scope="session")
def browser():
    driver = new_browser()
    yield driver
    driver.quit()
