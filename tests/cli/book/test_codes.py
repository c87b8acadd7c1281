"""Codes: readable, unique, kept from edition to edition, never given twice."""

from hypothesis import given, settings
from hypothesis import strategies as st

from standmark.cli.book.codes import Entry, code_grounds, letters_of
from standmark.cli.book.tree import GroundFile


def source(path, name="", own=None):
    return GroundFile(path, "", name, own, False, None)


def entries(codes, sources):
    names = {s.path: s.venue_name for s in sources}
    return [Entry(code, path, names[path]) for path, code in codes.items()]


def test_letters_of_the_name_and_a_number():
    codes, _ = code_grounds([source("a", "Harbour Park"), source("b", "Harrow Field"), source("c", "Élan Road")])
    assert codes == {"a": "HAR01", "b": "HAR02", "c": "ELA01"}


def test_names_without_latin_letters():
    assert letters_of("日本橋") == letters_of("ملعب") == letters_of("🙂🙂") == letters_of("X") == "GRD"


def test_codes_stay_when_grounds_come_and_go():
    first = [source("b", "Harrow Field"), source("c", "Harton Lane")]
    codes, _ = code_grounds(first)
    second = [source("a", "Harbour Park"), source("c", "Harton Lane")]
    later, _ = code_grounds(second, known=entries(codes, first))
    assert later["c"] == codes["c"]
    assert later["a"] == "HAR03"  # HAR01 is gone with its ground and is not given again


def test_a_renamed_file_keeps_its_code_and_a_renamed_ground_too():
    codes, _ = code_grounds([source("old/x", "Larkmere")])
    known = [Entry(codes["old/x"], "old/x", "Larkmere")]
    assert code_grounds([source("new/y", "Larkmere")], known=known)[0] == {"new/y": "LAR01"}
    assert code_grounds([source("old/x", "Other Name")], known=known)[0] == {"old/x": "LAR01"}


def test_two_grounds_of_one_name_are_not_guessed():
    known = [Entry("LAR01", "old", "Larkmere")]
    codes, _ = code_grounds([source("p", "Larkmere"), source("q", "Larkmere")], known=known)
    assert codes == {"p": "LAR02", "q": "LAR03"}


def test_own_codes_are_kept_apart():
    codes, refused = code_grounds([source("a", "Abc", "ZED"), source("b", "Abd", "ZED"), source("c", "Zed")])
    assert codes == {"a": "ZED", "c": "ZED01"}
    assert list(refused) == ["b"]
    assert '"ZED" is the code of a already' in refused["b"]


def test_own_code_of_another_ground_is_refused():
    known = [Entry("HAR01", "a", "Harbour")]
    codes, refused = code_grounds([source("a", "Harbour"), source("b", "Bay", "HAR01")], known=known)
    assert codes == {"a": "HAR01"}
    assert list(refused) == ["b"]


names = st.lists(st.sampled_from(["Harbour", "Harrow", "Elm", "橋", ""]), max_size=6)


@settings(max_examples=60, deadline=None)
@given(st.lists(names, min_size=2, max_size=4))
def test_never_given_twice(editions):
    owner = {}
    known = []
    for edition in editions:
        sources = [source(f"{name}{i}", name) for i, name in enumerate(edition)]
        codes, _ = code_grounds(sources, known=known)
        assert len(set(codes.values())) == len(sources)
        gone = [e for e in known if e.code not in codes.values()]
        known = gone + entries(codes, sources)
        for path, code in codes.items():
            assert owner.setdefault(code, path[:-1]) == path[:-1]  # the same name at least
