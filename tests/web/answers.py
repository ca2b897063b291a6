"""Who gets which answer: one for each role, in the order of ROLES."""

ROLES = ("keeper", "operator", "reader", "partner", "stranger")

# Answers in the order of ROLES. "login" is a redirect to the log-in page.
EVERYBODY = (200, 200, 200, 200, "login")
INSIDE = (200, 200, 200, 403, "login")
HANDLING = (200, 200, 403, 403, "login")
KEEPING = (200, 403, 403, 403, "login")
ASKING = (200, 200, 403, 200, "login")
LEADS_ON = (302, 302, 302, 302, "login")
ONLY_SENT_TO = (405, 405, 403, 403, "login")
NEEDS_METAL = NOT_KEPT = (404, 404, 403, 403, "login")
NOT_THEIRS = (200, 200, 200, 404, "login")

KEEPER_FILLS_IN = (422, 403, 403, 403, "login")
EVERYBODY_FILLS_IN = (422, 422, 422, 422, "login")
HANDLERS_FILL_IN = (422, 422, 403, 403, "login")
