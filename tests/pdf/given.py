"""What was given to be printed, to be looked for in what was."""


def every_word(value, *, but=()):
    """Yield every text of a nested dict, except what stands under the names in `but`."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for name, part in value.items():
            if name not in but:
                yield from every_word(part, but=but)
    else:
        for part in value:
            yield from every_word(part, but=but)


def bare(said):
    """Return words without the white space that setting them may have moved."""
    return "".join(said.split())
