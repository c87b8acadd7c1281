"""Names and telephones in words: who is known, and which blanks are left to write on."""

from __future__ import annotations

from dataclasses import dataclass

from standmark.cli.words.lines import capital
from standmark.optimizer.match.crew import CAMERA, GROUND, LEAD, ROLES, Person, operator_of, person_with, reach_words
from standmark.optimizer.match.match import Match

LABELS = {
    LEAD: "Lead",
    "helper": "Helper",
    GROUND: "Ground contact",
    "steward": "Steward",
    "first aid": "First aid",
    "home side": "Home side",
    "away side": "Away side",
}
NO_CONSENT = "Must not be shown"


@dataclass(frozen=True)
class Contact:
    """One line of a list of contacts."""

    label: str
    known: str = ""  # name and telephone; "" where nobody said
    phone: str = ""  # the telephone alone

    @property
    def dial(self) -> str:
        """Telephone as a link takes it (RFC 3966): digits and a leading plus, an extension apart."""
        number, _, extension = self.phone.lower().replace("ext.", "x").replace("ext", "x").partition("x")
        digits = ["".join(c for c in part if c.isdigit() or c == "+") for part in (number, extension)]
        return digits[0] + (f";ext={digits[1]}" if digits[1] else "")


def contact_of(match: Match, role: str) -> Contact:
    """Return the contact for a role, known or blank."""
    return _contact(LABELS[role], person_with(match.crew, role))


def operator_contact(match: Match, camera: str) -> Contact:
    """Return whoever films with a camera, known or blank."""
    return _contact(f"Camera {camera}", operator_of(match.crew, camera))


def contacts_of(match: Match) -> tuple[Contact, ...]:
    """Return every contact of a match in the order of use: lead, operators, everybody else, blanks included."""
    contacts = [contact_of(match, LEAD)]
    for camera in match.cameras:
        operator = operator_contact(match, camera.name)
        contacts += [operator] if not operator.known or operator.known != contacts[0].known else []
    for role in ROLES:
        if role in (LEAD, CAMERA):
            continue
        named = [_contact(LABELS[role], person) for person in match.crew if person.role == role]
        contacts += named or ([] if role == "helper" else [Contact(LABELS[role])])
    return (*contacts, Contact(NO_CONSENT)) if match.filming.has_minors else tuple(contacts)


def call_words(match: Match) -> str:
    """Return whom to call, in one sentence; "" where nobody is known."""
    told = (contact_of(match, role) for role in (LEAD, GROUND))
    known = [f"{contact.label.lower()} {contact.known}" for contact in told if contact.known]
    said = "; ".join(known)
    return f"{capital(said)}." if said else ""


def _contact(label: str, person: Person | None) -> Contact:
    return Contact(label, reach_words(person), "" if person is None else person.phone)
