"""Transcriptions of the statements by others, to hold ours against.

HARMONISED: the LaTeX package ghsystem 4.8c (2020-02-17), in Debian's texlive-science,
which copies Annex III of Regulation (EC) 1272/2008 as published in 2008. Left out are
the French H314 and H318, which were worded anew since, and those with choices.
PUBLIC: public German and French lists of Annex III and IV after the 8th adaptation,
read in November 2026: each text stands in two or more of them.
"""

HARMONISED = {
    "de": {
        "H225": "Flüssigkeit und Dampf leicht entzündbar.",
        "H226": "Flüssigkeit und Dampf entzündbar.",
        "H228": "Entzündbarer Feststoff.",
        "H250": "Entzündet sich in Berührung mit Luft von selbst.",
        "H251": "Selbsterhitzungsfähig; kann in Brand geraten.",
        "H252": "In großen Mengen selbsterhitzungsfähig; kann in Brand geraten.",
        "H260": "In Berührung mit Wasser entstehen entzündbare Gase, die sich spontan entzünden können.",
        "H261": "In Berührung mit Wasser entstehen entzündbare Gase.",
        "H301": "Giftig bei Verschlucken.",
        "H302": "Gesundheitsschädlich bei Verschlucken.",
        "H304": "Kann bei Verschlucken und Eindringen in die Atemwege tödlich sein.",
        "H314": "Verursacht schwere Verätzungen der Haut und schwere Augenschäden.",
        "H315": "Verursacht Hautreizungen.",
        "H318": "Verursacht schwere Augenschäden.",
        "H319": "Verursacht schwere Augenreizung.",
        "H332": "Gesundheitsschädlich bei Einatmen.",
        "H335": "Kann die Atemwege reizen.",
        "H336": "Kann Schläfrigkeit und Benommenheit verursachen.",
        "H361d": "Kann vermutlich das Kind im Mutterleib schädigen.",
        "H361f": "Kann vermutlich die Fruchtbarkeit beeinträchtigen.",
        "H400": "Sehr giftig für Wasserorganismen.",
        "H410": "Sehr giftig für Wasserorganismen, mit langfristiger Wirkung.",
        "H411": "Giftig für Wasserorganismen, mit langfristiger Wirkung.",
        "H412": "Schädlich für Wasserorganismen, mit langfristiger Wirkung.",
        "EUH014": "Reagiert heftig mit Wasser.",
    },
    "fr": {
        "H225": "Liquide et vapeurs très inflammables.",
        "H226": "Liquide et vapeurs inflammables.",
        "H228": "Matière solide inflammable.",
        "H250": "S'enflamme spontanément au contact de l'air.",
        "H251": "Matière auto-échauffante; peut s'enflammer.",
        "H252": "Matière auto-échauffante en grandes quantités; peut s'enflammer.",
        "H260": "Dégage au contact de l'eau des gaz inflammables qui peuvent s'enflammer spontanément.",
        "H261": "Dégage au contact de l'eau des gaz inflammables.",
        "H301": "Toxique en cas d'ingestion.",
        "H302": "Nocif en cas d'ingestion.",
        "H304": "Peut être mortel en cas d'ingestion et de pénétration dans les voies respiratoires.",
        "H315": "Provoque une irritation cutanée.",
        "H319": "Provoque une sévère irritation des yeux.",
        "H332": "Nocif par inhalation.",
        "H335": "Peut irriter les voies respiratoires.",
        "H336": "Peut provoquer somnolence ou vertiges.",
        "H361d": "Susceptible de nuire au fœtus.",
        "H361f": "Susceptible de nuire à la fertilité.",
        "H400": "Très toxique pour les organismes aquatiques.",
        "H410": "Très toxique pour les organismes aquatiques, entraîne des effets néfastes à long terme.",
        "H411": "Toxique pour les organismes aquatiques, entraîne des effets néfastes à long terme.",
        "H412": "Nocif pour les organismes aquatiques, entraîne des effets néfastes à long terme.",
        "EUH014": "Réagit violemment au contact de l'eau.",
    },
}
PUBLIC = {
    "de": {
        "H226": "Flüssigkeit und Dampf entzündbar.",
        "H361d": "Kann vermutlich das Kind im Mutterleib schädigen.",
        "H400": "Sehr giftig für Wasserorganismen.",
        "H412": "Schädlich für Wasserorganismen, mit langfristiger Wirkung.",
        "P273": "Freisetzung in die Umwelt vermeiden.",
        "P301+P312": (
            "BEI VERSCHLUCKEN: Bei Unwohlsein GIFTINFORMATIONSZENTRUM/Arzt/... anrufen."
        ),
        "P308+P313": (
            "BEI Exposition oder falls betroffen: Ärztlichen Rat einholen/ärztliche "
            "Hilfe hinzuziehen."
        ),
        "P331": "KEIN Erbrechen herbeiführen.",
        "P403+P235": "An einem gut belüfteten Ort aufbewahren. Kühl halten.",
    },
    "fr": {
        "H226": "Liquide et vapeurs inflammables.",
        "H361d": "Susceptible de nuire au fœtus.",
        "H372": (
            "Risque avéré d'effets graves pour les organes à la suite d'expositions "
            "répétées ou d'une exposition prolongée."
        ),
        "H400": "Très toxique pour les organismes aquatiques.",
        "H412": (
            "Nocif pour les organismes aquatiques, entraîne des effets néfastes à long "
            "terme."
        ),
        "P273": "Éviter le rejet dans l'environnement.",
        "P301+P310": (
            "EN CAS D’INGESTION: Appeler immédiatement un CENTRE ANTIPOISON/un médecin/…"
        ),
        "P308+P313": (
            "EN CAS d’exposition prouvée ou suspectée: consulter un médecin."
        ),
        "P310": "Appeler immédiatement un CENTRE ANTIPOISON/un médecin/…",
        "P331": "NE PAS faire vomir.",
        "P403+P235": "Stocker dans un endroit bien ventilé. Tenir au frais.",
    },
}
