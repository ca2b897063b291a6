"""What vouches for the invented metals: a supplier's paper, a photo, two assays."""

from io import BytesIO

from django.core.files.base import ContentFile
from PIL import Image, ImageDraw
from reportlab.lib.pagesizes import A5
from reportlab.pdfgen.canvas import Canvas

from inventory.calc import purity
from inventory.operations import attachments, evidence, uploads

from .scenario import at, request_id

BARIUM = {"Sr": "0.31 %", "Ca": "0.12 %", "Mg": "< 50 mg/kg", "Fe": "40 mg/kg"}
RUBIDIUM = {"K": "0.09 %", "Cs": "0.04 %", "Na": "120 mg/kg", "Ca": "< 20 mg/kg"}


def play(scene, rubidium, barium):
    """Vouch for a batch that was bought by its paper, for one made here by analysis."""
    paper = attach(
        scene,
        barium,
        "Certificate of lot BA-0713.pdf",
        certificate(),
        kind="certificate",
        for_partners=True,
    )
    assay(
        scene,
        barium,
        BARIUM,
        purity=0.9951,
        grade="distilled, metals basis",
        method="Supplier's certificate: ICP-OES after dissolution in water",
        measured_on=at(75).date(),
        measured_by="Supplier A, analytical service",
        certificate=paper,
    )
    attach(scene, rubidium, "Ampoules after sealing.png", photo(), kind="photo")
    assay(
        scene,
        rubidium,
        RUBIDIUM,
        purity=0.9984,
        method="ICP-MS after slow hydrolysis under argon",
        measured_on=at(33).date(),
        measured_by="Analytical service of the faculty",
        note="From the first ampoule; oxide was not determined",
    )


def attach(scene, batch, name, data, **facts):
    return attachments.attach(
        batch,
        uploads.examine(ContentFile(data, name=name)),
        by=scene.operator,
        request_id=request_id(f"attach {name}"),
        **facts,
    )


def assay(scene, batch, contents, **facts):
    evidence.record_assay(
        batch,
        facts,
        [
            evidence.Found(species, purity.parse_content(text))
            for species, text in contents.items()
        ],
        by=scene.operator,
        request_id=request_id(f"assay {batch} {facts['method']}"),
    )


def certificate():
    """Return an invented certificate of analysis, as a PDF."""
    file = BytesIO()
    page = Canvas(file, pagesize=A5, invariant=True)
    page.setTitle("Certificate of analysis, lot BA-0713 (invented)")
    page.setFont("Helvetica-Bold", 15)
    page.drawString(50, 530, "Certificate of analysis")
    lines = [
        "Invented for trying things out: no such lot exists.",
        "",
        "Supplier A      Barium, pieces under argon      Lot BA-0713",
        "Ba 99.51 % by difference, metals basis, ICP-OES",
        "",
        *(f"{species}    {text}" for species, text in BARIUM.items()),
        "",
        "Released by: analytical service",
    ]
    text = page.beginText(50, 500)
    text.setFont("Helvetica", 10)
    text.setLeading(17)
    text.textLines(lines)
    page.drawText(text)
    page.save()
    return file.getvalue()


def photo():
    """Return a picture of ampoules in a row, drawn here."""
    picture = Image.new("RGB", (960, 720), "#20242c")
    pen = ImageDraw.Draw(picture)
    pen.rectangle((0, 560, 960, 720), fill="#4a4238")
    for left in range(90, 870, 100):
        pen.line((left + 30, 170, left + 30, 290), fill="#b9c7cf", width=10)
        pen.rounded_rectangle((left, 280, left + 60, 590), 24, fill="#8fa1ab")
        pen.rounded_rectangle((left + 6, 450, left + 54, 584), 18, fill="#d8cda6")
    file = BytesIO()
    picture.save(file, "PNG")
    return file.getvalue()
