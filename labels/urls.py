from django.urls import path

from . import views
from .papers import views as papers

app_name = "labels"

urlpatterns = [
    path("", views.choose, name="print"),
    path("sheet.pdf", views.sheet, name="sheet"),
    path("batches/<str:code>/", papers.papers, name="papers"),
    path("batches/<str:code>/certificate.pdf", papers.certificate, name="certificate"),
    path("batches/<str:code>/tare-sheet.pdf", papers.tare_sheet, name="tare-sheet"),
]
