from django.urls import path

from .papers import handed_views, project_views
from .papers import views as papers
from .views import log, printing, sheets

app_name = "labels"

urlpatterns = [
    path("", printing.print_labels, name="print"),
    path("preview/", printing.preview, name="preview"),
    path("files/<uuid:job>.pdf", printing.file, name="file"),
    path("log/", log.entries, name="log"),
    path("sheets/", sheets.sheet_list, name="sheets"),
    path("sheets/new/", sheets.add, name="sheet-add"),
    path("sheets/drawing/", sheets.drawing, name="sheet-drawing"),
    path("sheets/<int:pk>/change/", sheets.change, name="sheet-change"),
    path("sheets/<int:pk>/retire/", sheets.retire, name="sheet-retire"),
    path("sheets/<slug:key>/calibration.pdf", sheets.calibration, name="calibration"),
    path("batches/<str:code>/", papers.papers, name="papers"),
    path("batches/<str:code>/certificate.pdf", papers.certificate, name="certificate"),
    path("batches/<str:code>/tare-sheet.pdf", papers.tare_sheet, name="tare-sheet"),
    path(
        "hand-overs/<int:pk>/sheet.pdf",
        handed_views.hand_over_sheet,
        name="hand-over-sheet",
    ),
    path("projects/<int:pk>/report.pdf", project_views.report, name="project-report"),
]
