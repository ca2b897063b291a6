"""Labels that say anything, in up to three languages, as hypothesis strategies."""

from dataclasses import replace

from hypothesis import strategies as st

from labels.wording import LabelContent, Supplier, Translation

LETTERS = "abcdefghijxyzäöüßéçñøÅÉαβμΩ₀₁₂³ ABCXYZ0123456789,;:()-–±°%·"
WORDS = st.text(LETTERS, max_size=40)
# Hypothesis likes its texts short; labels are full.
SENTENCES = st.text(LETTERS, min_size=20, max_size=160).map("{}.".format)
LONG_SENTENCES = st.text(LETTERS, min_size=80, max_size=200).map("{}.".format)
NAMES = st.text(LETTERS, min_size=1, max_size=60).filter(str.strip)
CODES = st.text("ABCXYZ0189-", min_size=1, max_size=14)
PICTOGRAMS = ("GHS02", "GHS05", "GHS07", "GHS08")
SIGNALS = {
    "en": ("Danger", "Warning"),
    "de": ("Gefahr", "Achtung"),
    "fr": ("Danger", "Attention"),
}
CONTENTS = st.builds(
    LabelContent,
    product_name=NAMES,
    full_code=CODES,
    url=CODES.map("HTTPS://H.EXAMPLE/B/".__add__),
    symbol=st.sampled_from(["", "Li", "NaK"]),
    cas=st.sampled_from(["", "7439-93-2"]),
    batch_code=CODES,
    net_text=WORDS,
    net_date=st.sampled_from(["", "25 Nov 2026"]),
    medium_text=WORDS,
    volume_text=WORDS,
    pictograms=st.lists(st.sampled_from(PICTOGRAMS), max_size=4, unique=True).map(
        tuple
    ),
    signal_word=st.sampled_from(["", "Danger", "Warning"]),
    h_texts=st.lists(SENTENCES, max_size=3).map(tuple),
    euh_texts=st.lists(SENTENCES, max_size=1).map(tuple),
    p_texts=st.lists(SENTENCES | LONG_SENTENCES, min_size=2, max_size=9).map(tuple),
    supplier=st.none() | st.builds(Supplier, NAMES, WORDS, WORDS),
    note=WORDS,
    draft_reason=WORDS,
    lang=st.sampled_from(["en", "de", "fr"]),
    transport_text=WORDS,
    capacity_ul=st.none() | st.sampled_from([2_000, 100_000, 1_000_000]),
)


@st.composite
def several_languages(draw):
    """Return a label that says the same statements in one to three languages.

    Some precautionary statements may leave the vessel, or none may.
    """
    content = draw(CONTENTS)
    others = [lang for lang in SIGNALS if lang != content.lang]
    more = tuple(
        Translation(
            lang=lang,
            product_name=draw(NAMES),
            signal_word=draw(st.sampled_from(SIGNALS[lang])),
            h_texts=tuple(draw(SENTENCES) for _ in content.h_texts),
            euh_texts=tuple(draw(SENTENCES) for _ in content.euh_texts),
            p_texts=tuple(draw(LONG_SENTENCES) for _ in content.p_texts),
            medium_text=draw(WORDS),
            transport_text=draw(WORDS),
        )
        for lang in others[: draw(st.sampled_from([2, 1, 0]))]
    )
    codes = tuple(f"S{number}" for number in range(len(content.statements)))
    stay = draw(st.lists(st.sampled_from(codes), unique=True)) if codes else []
    least = ("product", "supplier", "signal_word", *content.pictograms[:1], *stay)
    return replace(
        content,
        more=more,
        statement_codes=codes,
        least=draw(st.sampled_from([(), least])),
    )
