"""When a match starts: hours that a clock skips or shows twice, far zones, and what is no time at all; forty cases.

Dates of changes and offsets are those of the IANA time zone database, 2024a and later (from memory).
"""

from datetime import timedelta
from pathlib import Path

import pytest

from standmark.geometry.errors import InputError
from standmark.optimizer.match.read_match import match_of
from standmark.sports.toml.file import parse_toml

CHANGES = [  # zone, a local time that is skipped or shown twice, and its two readings
    ("Europe/Lisbon", "2027-03-28T01:30:00", "+00:00", "+01:00"),
    ("Europe/Berlin", "2027-03-28T02:30:00", "+01:00", "+02:00"),
    ("America/New_York", "2027-03-14T02:30:00", "-05:00", "-04:00"),
    ("America/St_Johns", "2027-03-14T02:30:00", "-03:30", "-02:30"),
    ("Australia/Sydney", "2027-10-03T02:30:00", "+10:00", "+11:00"),
    ("Australia/Lord_Howe", "2027-10-03T02:15:00", "+10:30", "+11:00"),
    ("Pacific/Auckland", "2027-09-26T02:30:00", "+12:00", "+13:00"),
    ("Pacific/Chatham", "2027-09-26T03:00:00", "+12:45", "+13:45"),
    ("Antarctica/Troll", "2027-03-28T02:00:00", "+00:00", "+02:00"),
    ("Pacific/Apia", "2011-12-30T15:00:00", "-10:00", "+14:00"),
    ("Europe/Lisbon", "2027-10-31T01:30:00", "+01:00", "+00:00"),
    ("Europe/Berlin", "2027-10-31T02:30:00", "+02:00", "+01:00"),
    ("America/New_York", "2027-11-07T01:30:00", "-04:00", "-05:00"),
    ("Australia/Sydney", "2027-04-04T02:30:00", "+11:00", "+10:00"),
    ("Australia/Lord_Howe", "2027-04-04T01:45:00", "+11:00", "+10:30"),
    ("Pacific/Chatham", "2027-04-04T03:00:00", "+13:45", "+12:45"),
]
ZONES = [  # zone, local time, hours from UTC
    ("Pacific/Kiritimati", "2027-05-08T15:00:00", 14.0),
    ("Etc/GMT+12", "2027-05-08T15:00:00", -12.0),
    ("Asia/Kathmandu", "2027-05-08T15:00:00", 5.75),
    ("Australia/Eucla", "2027-05-08T15:00:00", 8.75),
    ("Pacific/Marquesas", "2027-05-08T15:00:00", -9.5),
    ("Australia/Lord_Howe", "2027-01-09T15:00:00", 11.0),
    ("Australia/Lord_Howe", "2027-07-09T15:00:00", 10.5),
    ("Europe/Dublin", "2027-01-09T15:00:00", 0.0),
    ("Europe/Lisbon", "2027-03-28T00:59:59", 0.0),
    ("Europe/Lisbon", "2027-03-28T02:00:00", 1.0),
    ("Europe/Lisbon", "2027-10-31T02:00:00", 0.0),
    ("UTC", "2028-02-29T23:59:59", 0.0),
    ("", "2027-05-08T15:00:00Z", 0.0),
    ("", "2027-05-08T15:00:00+14:00", 14.0),
    ("", "2027-05-08T15:00:00-12:00", -12.0),
    ("", "2027-05-08T15:00:00+05:45", 5.75),
]
REFUSED = [  # zone, start, words
    ("", "2027-05-08T15:00:00", "has no time zone"),
    ("UTC", "2027-05-08T15:00:00Z", "its own offset"),
    ("localtime", "2027-05-08T15:00:00", "not known"),
    ("../etc/passwd", "2027-05-08T15:00:00", "not known"),
    ("/etc/localtime", "2027-05-08T15:00:00", "not known"),
    ("Europe", "2027-05-08T15:00:00", "not known"),
    ("Europe/Lisbon\\u0000", "2027-05-08T15:00:00", "timezone"),
    ("UTC", "2027-02-29T15:00:00", "m.toml:3"),
]


def started(zone, start):
    """Start of a match file that says so."""
    said = f'timezone = "{zone}"\n' if zone else ""
    text = f'[match]\nsport = "netball"\nstart = {start}\n{said}'
    return match_of(parse_toml(text, name="m.toml"), folder=Path()).start


@pytest.mark.parametrize(("zone", "start", "first", "second"), CHANGES)
def test_an_hour_in_which_the_clocks_change_is_refused_with_both_readings(zone, start, first, second):
    with pytest.raises(InputError) as caught:
        started(zone, start)
    said = str(caught.value)
    assert "m.toml:3: match.start: the clocks change in this hour" in said
    for offset in (first, second):
        assert f"{start}{offset}" in said
        assert started("", f"{start}{offset}").utcoffset() == started("", f"2027-01-01T00:00:00{offset}").utcoffset()


@pytest.mark.parametrize(("zone", "start", "hours"), ZONES)
def test_a_start_is_where_its_zone_says(zone, start, hours):
    assert started(zone, start).utcoffset() == timedelta(hours=hours)


@pytest.mark.parametrize(("zone", "start", "words"), REFUSED)
def test_what_is_no_time_is_refused(zone, start, words):
    with pytest.raises(InputError, match=words):
        started(zone, start)
