"""Names and telephones stand where they are needed, and lines to write on where nobody gave them."""

from dataclasses import replace

import pytest
from drawn_plans import content_of, placed_plan
from icalendar import Calendar

from standmark.cli.drawing.marks import Words
from standmark.cli.exports.calendar_file import calendar_bytes
from standmark.cli.exports.plan_json import plan_bytes
from standmark.cli.sheet.html_sheet import sheet_html
from standmark.cli.sheet.lead_page import lead_page
from standmark.cli.sheet.operator_page import operator_page
from standmark.cli.sheet.paper import PAPERS
from standmark.cli.sheet.paper_sheet import sheet_pages
from standmark.cli.sheet.pocket_card import card_pages
from standmark.cli.words.crew_words import Contact, call_words, contacts_of
from standmark.cli.words.short_answers import day_answer
from standmark.optimizer.match.crew import Person

CREW = (
    Person("Wren Tarn", "lead", "+44 1632 960001", "A"),
    Person("Ash Moss", "camera", "01632 960002", "B"),
    Person("Hut", "ground", "01632 960003 ext. 12"),
)


def crewed(crew=CREW):
    plan = placed_plan()
    content = content_of(plan)
    return replace(content, plan=replace(plan, match=replace(plan.match, crew=crew)))


def said_on(page):
    return " ".join(mark.text.replace("\u00a0", " ") for mark in page.marks if isinstance(mark, Words))


def test_paper_names_everybody():
    content, paper = crewed(), PAPERS["a4"]
    lead = said_on(lead_page(content, paper))
    for words in ("Wren Tarn", "+44 1632 960001", "Ash Moss", "01632 960002", "Hut, 01632 960003 ext. 12", "First aid"):
        assert words in lead, words
    second = said_on(operator_page(content, content.answers[1], paper))
    for words in ("You: Ash Moss", "Lead: Wren Tarn, +44 1632 960001", "Ground contact: Hut"):
        assert words in second, words
    assert "Lead Wren Tarn, +44 1632 960001" in said_on(card_pages(content, paper)[0])
    lists = " ".join(said_on(page) for page in sheet_pages(content))
    assert "Steward" in lists
    assert "01632 960003" in lists


def test_who_is_not_named_leaves_a_line_to_write_on():
    content, paper = crewed(()), PAPERS["a4"]
    page = operator_page(content, content.answers[0], paper)
    at = {mark.text: mark for mark in page.marks if isinstance(mark, Words)}
    for label in ("You", "Lead", "Ground contact"):
        lines = [
            part for mark in page.marks for part in getattr(mark, "parts", ())
            if abs(part[0, 1] - at[label].y_mm) < 1.0 and part[0, 0] > at[label].x_mm
        ]  # fmt: skip
        assert max(part[1, 0] - part[0, 0] for part in lines) > 20.0, label
    assert call_words(content.plan.match) == ""


def test_phone_page_calls_whom_it_knows_and_asks_for_the_others():
    page = sheet_html(crewed()).decode()
    assert '<a href="tel:+441632960001"><bdi>Wren Tarn, +44 1632 960001</bdi></a>' in page
    assert 'href="tel:01632960003;ext=12"' in page
    assert 'data-contact="Steward"' in page
    assert 'data-contact="Lead"' not in page


def test_calendar_and_day_say_whom_to_call_and_data_files_do_not():
    content = crewed()
    match = content.plan.match
    events = Calendar.from_ical(calendar_bytes(match, content.day.times)).walk("VEVENT")
    assert {str(event["contact"]) for event in events} == {call_words(match)}
    assert "Wren Tarn, +44 1632 960001" in str(events[0]["description"])
    said = day_answer(match, content.day, width=80)
    assert "Call: lead Wren Tarn" in said
    assert "name and phone" not in said
    assert b"Wren" not in plan_bytes(content.plan)


def test_a_lead_who_films_is_listed_once():
    match = crewed().plan.match
    labels = [contact.label for contact in contacts_of(match) if contact.known]
    assert labels == ["Lead", "Camera B", "Ground contact"]


@pytest.mark.parametrize(
    ("phone", "link"), [("01632 960001", "01632960001"), ("+44 (1632) 960-001 x7", "+441632960001;ext=7"), ("", "")]
)
def test_a_number_becomes_a_link_that_dials(phone, link):
    assert Contact("Lead", "P", phone).dial == link
