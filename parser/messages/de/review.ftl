
## Warum ein Mensch nachsehen muss
field-protections = Zündschutzart
field-group = Gruppe
field-temperature = Temperatur
field-epl = EPL
field-category = Kategorie
review-field-on-line = { $field } in Zeile { $line }
review-no-marking = Es wurde keine Ex-Kennzeichnung gelesen. Das zeigt nicht, dass keine da ist.
review-hard-to-read = Schwer lesbar: { $field }. Zeichen für Zeichen mit dem Schild vergleichen.
review-not-surely = { $field }: als „{ $value }“ gelesen, aber nicht sicher.
review-rivals = { $field }: als „{ $value }“ gelesen, aber nicht sicher; es kann auch heißen: { $others }.
review-not-read = nicht gelesen
review-repairs = Kennzeichnung { $marking } brauchte { $repairs } Formkorrekturen: zu viele, um sich darauf zu verlassen.
review-ambient = Der Umgebungsbereich in Zeile { $line } ist schwer lesbar: Vorzeichen und Ziffern entscheiden.
review-not-placed = „{ $text }“ in Zeile { $line } ließ sich nicht zuordnen und ist schwer lesbar: es kann eine Nummer oder ein Bereich sein, auf den es ankommt.
review-no-marking-on-photo = auf dem Foto wurde keine Ex-Kennzeichnung gelesen; das Schild selbst ansehen oder ein schärferes Foto aufnehmen, das die Kennzeichnung ausfüllt
review-no-marking-in-text = der Text enthält keine Ex-Kennzeichnung
review-exhausted = Mehr Zeichen sind zweifelhaft, als untersucht werden konnten: das Schild allein und näher aufnehmen.
review-piece = „{ $text }“ in Zeile { $line } ist ein Stück einer Kennzeichnung, steht aber in keiner: was dazu gehört, wurde nicht gelesen.
review-other-limit = „{ $text }“ in Zeile { $line } steht neben dem Umgebungsbereich: es kann dessen andere Grenze sein.
review-conditions-beside = Besondere Bedingungen (X) können daneben stehen.
review-part-of-line = Ein Teil von Zeile { $line } ist nicht lesbar: was dort steht, kann zur Kennzeichnung gehören.
review-no-category-line = Kennzeichnung { $marking } hat keine Kategoriezeile, eine andere aber schon: nachsehen, ob daneben eine steht.
review-certificate-number = Die Bescheinigungsnummer „{ $number }“ in Zeile { $line } ist nicht sicher gelesen; sie kann { $others } lauten.
review-serial-number = Die Seriennummer „{ $number }“ in Zeile { $line } ist nicht sicher gelesen; sie kann { $others } lauten.
review-body-number = Die Nummer „{ $number }“ neben dem Konformitätszeichen in Zeile { $line } ist nicht sicher gelesen; sie kann { $others } lauten.
