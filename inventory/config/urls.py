from django.urls import include, path

urlpatterns = [
    path("labels/", include("labels.urls")),
    path("", include("inventory.web.urls")),
]

handler403 = "inventory.web.views.site.forbidden"
handler404 = "inventory.web.views.site.not_found"
