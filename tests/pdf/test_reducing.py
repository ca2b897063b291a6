"""What leaves a vessel too small for its label, and in which order."""

from hypothesis import given, settings

from labels.reducing import keeping, left_out, reductions
from tests.pdf.random_labels import several_languages
from tests.pdf.vessels import LEAST, make


def test_precautions_go_first_the_last_before_the_first():
    content = make("Li", ("en", "de"))

    steps = list(reductions(content))

    codes = [step.statement_codes for step in steps]
    assert codes[0] == content.statement_codes
    assert codes[1] == content.statement_codes[:-1]
    assert codes[6] == ("H260", "H314", "EUH014")
    assert steps[-1] == content.at_least()


def test_what_has_to_stay_stays_in_every_step():
    content = make("Li", least=(*LEAST, "P370+P378"))

    for step in reductions(content):
        assert {"H260", "H314", "EUH014", "P370+P378"} <= set(step.statement_codes)
        assert step.pictograms == content.pictograms
        assert step.supplier.name == content.supplier.name
        assert step.supplier.phone == content.supplier.phone


def test_nothing_goes_where_all_of_it_has_to_stay():
    assert list(reductions(make("Li", least=()))) == []


def test_what_went_is_named_by_its_code():
    content = make("K")
    kept = keeping(content, [True, False, True, True, True, False])

    assert left_out(content, kept) == ("P231+P232", "P370+P378")
    assert left_out(content, content) == ()


@settings(max_examples=60, deadline=None)
@given(several_languages())
def test_every_language_drops_the_same_statements(content):
    # CLP Art. 17(2): the same details in each language.
    for step in reductions(content):
        count = len(step.statement_codes)
        for voice in (step, *step.more):
            assert len(voice.statements) == count
            whole = next(
                each for each in (content, *content.more) if each.lang == voice.lang
            )
            said = dict(zip(content.statement_codes, whole.statements, strict=True))
            assert voice.statements == tuple(said[c] for c in step.statement_codes)
