from django.urls import path

from . import views

app_name = "labels"

urlpatterns = [
    path("", views.choose, name="print"),
    path("sheet.pdf", views.sheet, name="sheet"),
]
