common-language = Deutsch
common-skip = Zum Inhalt
common-offline = Keine Verbindung zum Dienst
common-waiting =
    { $n ->
        [one] { $n } Foto wartet
       *[other] { $n } Fotos warten
    }
common-remove = Entfernen
common-again = Noch einmal versuchen
common-loading = Einen Augenblick
common-more = Mehr

nav-view =
    .photo = Foto
    .review = Nach{ "\u00AD" }sehen
    .register = Ver{ "\u00AD" }zeich{ "\u00AD" }nis
    .import = Ein{ "\u00AD" }lesen
    .places = Orte
    .learn = Kenn{ "\u00AD" }zeich{ "\u00AD" }nung
    .loop = Strom{ "\u00AD" }kreis

session-heading = Anmelden
session-hint = Dieser Dienst kennt seine Leute an ihren Konten. Fotos, die hier warten, werden nach der Anmeldung gesendet.
session-name = Name des Kontos
session-password = Passwort
session-enter = Anmelden
session-leave = Abmelden
session-ended = Die Sitzung ist zu Ende. Noch einmal anmelden: Nichts Getipptes oder Fotografiertes ist verloren.
session-wrong = Name oder Passwort stimmt nicht.
session-slowed =
    { $n ->
        [one] Zu viele falsche Passwörter von hier. In { $n } Sekunde noch einmal versuchen.
       *[other] Zu viele falsche Passwörter von hier. In { $n } Sekunden noch einmal versuchen.
    }
session-role =
    .reader = Leser
    .inspector = Prüfer
    .reviewer = Gutachter
    .administrator = Verwalter
session-needs = Dafür braucht ein Konto die Rolle { $role } oder mehr. { $name } hat die Rolle { $has }.

problem-heading = Das ging nicht
problem-network = Der Dienst antwortet nicht. Ist dieses Gerät noch in seinem Netz?
