from django.contrib.auth import views as auth
from django.urls import path, re_path

from inventory.operations.access import ALL, for_roles

from .views import (
    batches,
    catalogue,
    checking,
    filling,
    people,
    register,
    sharing,
    site,
    vessels,
    withdrawals,
)

anyone = for_roles(ALL)

urlpatterns = [
    path("", site.home, name="home"),
    path("find/", site.find, name="find"),
    path("guide/", site.guide, name="guide"),
    path("patterns/", site.patterns, name="patterns"),
    # Labels carry these in upper case and without a closing slash, for the QR
    # code's alphanumeric mode. Printed codes last, so these paths never change.
    re_path(
        r"^B/(?P<batch>[A-Za-z0-9]+)/(?P<number>[0-9]{1,6})/?$",
        site.scanned,
        name="scanned",
    ),
    re_path(r"^B/(?P<batch>[A-Za-z0-9]+)/?$", site.scanned, name="scanned-batch"),
    path("vessels/", vessels.vessel_list, name="vessel-list"),
    path("vessels/tare/", vessels.tare, name="vessel-tare"),
    path("vessels/<int:pk>/", vessels.vessel, name="vessel"),
    path("vessels/<int:pk>/tare/", vessels.tare_again, name="vessel-tare-again"),
    path("vessels/<int:pk>/fill/", filling.fill, name="vessel-fill"),
    path("vessels/<int:pk>/withdraw/", withdrawals.withdraw, name="vessel-withdraw"),
    path("vessels/<int:pk>/check/", checking.check, name="vessel-check"),
    path("vessels/<int:pk>/medium/", checking.medium, name="vessel-medium"),
    path("vessels/<int:pk>/transfer/", checking.transfer, name="vessel-transfer"),
    path("weighings/<int:pk>/strike/", checking.strike, name="weighing-strike"),
    path("vessels/<int:pk>/destroy/", withdrawals.destroy, name="vessel-destroy"),
    path("vessels/<int:pk>/move/", vessels.move, name="vessel-move"),
    path("vessels/<int:pk>/retire/", vessels.retire, name="vessel-retire"),
    path("movements/<int:pk>/correct/", withdrawals.correct, name="movement-correct"),
    path("batches/", batches.batch_list, name="batch-list"),
    path("batches/new/", batches.add, name="batch-add"),
    path("batches/<str:code>/", batches.batch, name="batch"),
    path("batches/<str:code>/change/", batches.change, name="batch-change"),
    path("batches/<str:code>/charge/", batches.charge, name="batch-charge"),
    path("batches/<str:code>/receive/", filling.receive, name="batch-receive"),
    path("charges/<int:pk>/strike/", batches.strike_charge, name="charge-strike"),
    path("projects/", sharing.project_list, name="project-list"),
    path("projects/new/", sharing.start, name="project-start"),
    path("projects/<int:pk>/", sharing.project, name="project"),
    path("projects/<int:pk>/change/", sharing.change, name="project-change"),
    path("projects/<int:pk>/close/", sharing.close, name="project-close"),
    path("bookings/new/", sharing.book, name="booking-add"),
    path("bookings/<int:pk>/", sharing.booking, name="booking"),
    path("booking-lines/<int:pk>/release/", sharing.release, name="line-release"),
    path("places/", register.place_list, name="place-list"),
    path("places/new/", register.place_add, name="place-add"),
    path("places/<int:pk>/", register.place, name="place"),
    path("places/<int:pk>/change/", register.place_change, name="place-change"),
    path("balances/", register.balance_list, name="balance-list"),
    path("balances/new/", register.balance_add, name="balance-add"),
    path("balances/<int:pk>/change/", register.balance_change, name="balance-change"),
    path("laboratory/", register.laboratory, name="laboratory"),
    path("materials/", catalogue.material_list, name="material-list"),
    path("materials/<str:symbol>/", catalogue.material, name="material"),
    path("media/<slug:key>/", catalogue.medium, name="medium"),
    path(
        "properties/<int:pk>/change/", catalogue.property_change, name="property-change"
    ),
    path("people/", people.person_list, name="person-list"),
    path("people/new/", people.add, name="person-add"),
    path("people/<int:pk>/change/", people.change, name="person-change"),
    path("log-in/", auth.LoginView.as_view(), name="login"),
    path("log-out/", anyone(auth.LogoutView.as_view()), name="logout"),
    path(
        "password/", anyone(auth.PasswordChangeView.as_view()), name="password_change"
    ),
    path(
        "password/done/",
        anyone(auth.PasswordChangeDoneView.as_view()),
        name="password_change_done",
    ),
]
