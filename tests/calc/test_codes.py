import string

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from stdnum.iso7064 import mod_37_36

from inventory.calc import codes
from inventory.calc.codes import CodeError, ParsedCode

SYMBOLS = ["LI", "NA", "K", "RB", "CS", "NAK", "MG", "CA", "SR", "BA"]
ALPHABET = string.digits + string.ascii_uppercase

batches = st.builds(
    codes.batch_code,
    st.sampled_from(SYMBOLS),
    st.integers(2000, 2099),
    st.integers(0, 701),
)
numbers = st.integers(1, 9999)


def textbook_check_character(text):
    """Return the check character by the recursion printed in ISO/IEC 7064, clause 9.

    The hybrid system MOD 37,36 (from memory of the standard): start at 36; add
    each character; reduce modulo 36 with 36 for 0; double; reduce modulo 37.
    """
    product = 36
    for character in text:
        total = (product + ALPHABET.index(character)) % 36 or 36
        product = total * 2 % 37
    return ALPHABET[(37 - product) % 36]


def read(text):
    """Return what a code was read as and None, or None and why it was refused."""
    try:
        return codes.parse_code(text), None
    except CodeError as refusal:
        return None, str(refusal)


@pytest.mark.parametrize(
    ("run", "letters"), [(0, "A"), (25, "Z"), (26, "AA"), (701, "ZZ"), (702, "AAA")]
)
def test_the_runs_of_a_year_are_lettered_on_and_on(run, letters):
    assert codes.batch_code("Rb", 2026, run) == f"RB26{letters}"


def test_a_vessel_number_has_at_least_two_digits():
    assert codes.vessel_code("RB26A", 7) == "RB26A-07"
    assert codes.vessel_code("RB26A", 123) == "RB26A-123"


def test_the_check_character_is_that_of_the_published_grid_example():
    # GRid standard's example A1-2425G-ABC1234002-M, which uses ISO 7064 MOD 37,36
    # (from memory; also in python-stdnum's documentation).
    assert codes.check_character("A1-2425G-ABC1234002") == "M"
    assert textbook_check_character("A12425GABC1234002") == "M"


@given(batches, numbers)
def test_the_check_character_agrees_with_the_standard_and_with_stdnum(batch, number):
    code = codes.vessel_code(batch, number)

    check = codes.check_character(code)

    assert check == textbook_check_character(code.replace("-", ""))
    assert mod_37_36.is_valid(code.replace("-", "") + check)


@given(batches, numbers, st.data())
def test_one_wrong_character_is_always_noticed(batch, number, data):
    # ISO 7064: every single substitution is detected.
    plain = codes.full_code(batch, number).replace("-", "")
    place = data.draw(st.integers(0, len(plain) - 1))
    other = data.draw(st.sampled_from(ALPHABET))
    assume(other != plain[place])

    assert not mod_37_36.is_valid(plain[:place] + other + plain[place + 1 :])


def test_two_swapped_neighbours_are_noticed_all_but_always():
    # ISO 7064: the hybrid systems detect nearly all transpositions.
    swaps = missed = 0
    for symbol in SYMBOLS:
        for run in range(30):
            code = codes.full_code(codes.batch_code(symbol, 2026, run), run + 1)
            plain = code.replace("-", "")
            for left in range(len(plain) - 1):
                swapped = (
                    plain[:left] + plain[left + 1] + plain[left] + plain[left + 2 :]
                )
                swaps += swapped != plain
                missed += swapped != plain and mod_37_36.is_valid(swapped)

    assert swaps > 1000
    assert missed / swaps < 0.01


@given(batches, numbers)
def test_every_way_of_writing_a_code_names_the_same_vessel(batch, number):
    full = codes.full_code(batch, number)
    vessel = ParsedCode(batch, number)

    assert codes.parse_code(full) == vessel
    assert codes.parse_code(full.lower().replace("-", " ")) == vessel
    assert codes.parse_code(codes.vessel_code(batch, number)) == vessel
    assert codes.parse_code(f"  {full} ") == vessel
    assert codes.parse_code(f"HTTPS://HOST{codes.qr_path(batch, number)}") == vessel
    assert codes.parse_code(f"https://host{codes.qr_path(batch, number)}/") == vessel
    assert codes.parse_code(batch) == ParsedCode(batch, None)
    assert codes.parse_code(f"https://host/b/{batch}") == ParsedCode(batch, None)
    assert codes.parse_code(f"HTTPS://HOST{codes.qr_path(batch)}") == ParsedCode(
        batch, None
    )


@given(batches, numbers)
def test_a_code_typed_without_hyphens_is_read_rightly_or_refused(batch, number):
    plain = codes.full_code(batch, number).replace("-", "")

    parsed, refusal = read(plain)

    if refusal is None:
        assert parsed == ParsedCode(batch, number)
    else:
        assert "hyphens" in refusal or "Vessel numbers" in refusal
        assert plain[-1].isdigit()


@given(batches, numbers, st.sampled_from(ALPHABET))
def test_a_wrong_check_character_is_refused_and_says_so(batch, number, other):
    assume(other != codes.check_character(codes.vessel_code(batch, number)))

    with pytest.raises(CodeError, match="last character"):
        codes.parse_code(f"{codes.vessel_code(batch, number)}-{other}")


def test_a_code_that_may_be_two_vessels_is_refused_with_both():
    number = next(
        n
        for n in range(10, 1000)
        if codes.check_character(codes.vessel_code("RB26A", n)).isdigit()
    )
    check = codes.check_character(codes.vessel_code("RB26A", number))

    with pytest.raises(CodeError, match="hyphens") as refusal:
        codes.parse_code(f"RB26A{number}{check}")

    assert f"RB26A-{number}-{check}" in str(refusal.value)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "  ",
        "rubidium",
        "RB26",
        "RB26A-0",
        "RB26A-X",
        "RB26A-12345",
        "RB26A-07-Q-Q",
        "HTTPS://HOST/V/RB26A/07",
        "HTTPS://HOST/B/",
        "HTTPS://HOST/B/RB26A/07/9",
        "HTTPS://HOST/B/RB26A/00",
        "RB26A;07",
        "R" * 500,
    ],
)
def test_what_is_no_code_is_refused_in_a_sentence(text):
    with pytest.raises(CodeError) as refusal:
        codes.parse_code(text)

    assert str(refusal.value).endswith(".")


OURS = {"metals.example.org", "testserver:8000"}


@pytest.mark.parametrize(
    "link",
    [
        "HTTPS://METALS.EXAMPLE.ORG/B/RB26A/07",
        "https://metals.example.org:443/B/RB26A/07",
        "http://testserver:8000/B/RB26A/07?x=1",
        "//metals.example.org/B/RB26A/07",
        "metals.example.org/B/RB26A/07",
        "/B/RB26A/07",
        "B/RB26A/07",
        "RB26A-07",
    ],
)
def test_a_code_or_a_link_to_a_host_of_ours_is_read(link):
    assert codes.parse_code(link, OURS) == ParsedCode("RB26A", 7)


@pytest.mark.parametrize(
    "link",
    [
        "https://elsewhere.example/B/RB26A/07",
        "elsewhere.example/B/RB26A/07",
        "//elsewhere.example/B/RB26A/07",
        "http://testserver:9000/B/RB26A/07",
        "https://metals.example.org@elsewhere.example/B/RB26A/07",
        "https://elsewhere.example/https://metals.example.org/B/RB26A/07",
        "elsewhere.example/metals.example.org/B/RB26A/07",
        "https://METALS.EXAMPLE.ORG.elsewhere.example/B/RB26A",
    ],
)
def test_a_link_to_another_host_is_refused(link):
    with pytest.raises(CodeError, match=r"^This code is of another laboratory\.$"):
        codes.parse_code(link, OURS)


def test_the_qr_path_uses_only_the_qr_alphanumeric_characters():
    # ISO/IEC 18004, alphanumeric mode: 0-9 A-Z space $ % * + - . / :
    link = f"HTTPS://HOST{codes.qr_path('NAK26AB', 123)}"

    assert set(link) <= set(ALPHABET + " $%*+-./:")


@given(st.text(max_size=250))
def test_any_scanned_text_is_either_read_or_refused_in_a_sentence(text):
    _, refusal = read(text)

    assert refusal != ""
