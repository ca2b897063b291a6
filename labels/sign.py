"""The sign for a place: what is kept there, and what never to bring near.

Its content names the place as the product and the place's page as the address; the
hazards are those of all that is inside. Read from some steps away.
"""

from itertools import product

from . import blocks
from .boxes import Paragraph
from .composing import Composed, Job, Listed, phrase
from .layout import arrangements
from .press import Plan, Press, Setting, Sizes, boxed
from .spreading import DoesNotFit, missing

# Pictograms of the largest packages (46 mm) where the sign has room for them.
LARGE_MM = (60.0, 52.0, 46.0, 40.0, 32.0)
SMALL_MM = (26.0, 23.0, 20.0, 16.02)
LARGE_X_MM = (6.0, 5.0, 4.5, 4.0, 3.5, 3.0, 2.6, 2.2, 2.0)
SMALL_X_MM = (1.8, 1.6, 1.4, 1.2)
SIZES: Sizes = (
    *product(LARGE_MM, LARGE_X_MM),
    *product((*LARGE_MM, *SMALL_MM), SMALL_X_MM),
)
NO_WATER_SCALE = 2.2
# Whole dots of a 300 dpi printer: 1.35 mm is read from an arm's length or two.
MODULES_MM = tuple(25.4 * dots / 300 for dots in (16, 12, 9, 6, 4))


class _Sign(Press):
    def __init__(self, job: Job, setting: Setting) -> None:
        super().__init__(job.content, setting, job.face)
        self.inside: tuple[Listed, ...] = job.inside

    def body(self, plan: Plan, end: int | None, *, coded: bool) -> list[Paragraph]:
        content, face, x = self.content, self.face, plan.x_mm
        body, lang = blocks.style(face, x), content.lang
        loud = blocks.style(face, x * NO_WATER_SCALE, bold=True)
        found = blocks.head(content, x, face, code=not coded, facts=False)
        no_water = blocks.apart(phrase(content, "no_water"))
        found.append(blocks.one(no_water, loud, 0.4 * body.size_mm, lang))
        found += self._each("never_on_fire", plan)
        found += blocks.warnings(content, x, face, listed=plan.listed, end=end)
        if self.inside:
            here = blocks.apart(phrase(content, "here"))
            bold = blocks.style(face, x * blocks.NET_SCALE, bold=True)
            found.append(blocks.one(here, bold, 0.4 * body.size_mm, lang))
        found += [
            Paragraph((blocks.held(line.amount),), body, 0, blocks.running(line.name))
            for line in self.inside
        ]
        return found

    def foot(self, plan: Plan, more: tuple[str, ...]) -> list[Paragraph]:
        return self._each("ask_first", plan) + super().foot(plan, more)

    def _each(self, name: str, plan: Plan) -> list[Paragraph]:
        """Return a phrase on a line of its own in each language."""
        body = blocks.style(self.face, plan.x_mm)
        return [
            blocks.one(text, body, 0.1 * body.size_mm)
            for text in phrase(self.content, name)
        ]


def sign(job: Job) -> Composed:
    """Return the sign in the largest letters that everything has room in."""
    area = boxed(job.size_mm, job.clear_mm)
    setting = Setting(
        format="sign",
        size_mm=job.size_mm,
        area=area,
        arrangements=arrangements(job.content, area),
        sizes=SIZES,
        clear_mm=job.clear_mm,
        module_sizes_mm=MODULES_MM,
        record=False,
    )
    press = _Sign(job, setting)
    face = press.best()
    if face is None:
        raise DoesNotFit(job.size_mm, missing(press), "The sign")
    return Composed("sign", (face,))
