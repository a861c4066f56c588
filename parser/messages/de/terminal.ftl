
## Ergebnis
terminal-named = { $name }: { $said }
terminal-suitable = GEEIGNET für { $place }.
terminal-conditional = BEDINGT GEEIGNET für { $place }: nur zulässig, wenn die Bedingungen unten erfüllt sind.
terminal-undecided = UNENTSCHIEDEN für { $place }: nicht darauf verlassen, bevor die Punkte unten geklärt sind.
terminal-undecided-no-marking = UNENTSCHIEDEN für { $place }: keine Kennzeichnung gelesen.
terminal-unsuitable = UNGEEIGNET für { $place }.
terminal-probability = Von den plausiblen Lesungen führen { $share } (nach Gewicht) zu diesem Ergebnis oder einem besseren.
terminal-no-marking = KEINE KENNZEICHNUNG gelesen.
terminal-not-judged = GELESEN, NICHT BEURTEILT: für ein Urteil einen Ort angeben (--zone 1 --gas ethanol).
terminal-markings = Kennzeichnung: { $markings }
terminal-review = Vor der Verwendung muss ein Mensch nachsehen: siehe „{ $heading }“.

## Der Ort in einer Zeile
terminal-zone = Zone { $zone }
terminal-zones = Zonen { $zones }
terminal-mine-m1 = Bergwerk M1
terminal-mine-m2 = Bergwerk M2
terminal-non-hazardous = nicht explosionsgefährdet
terminal-group = Gruppe { $group }
terminal-ignition = Zündtemperatur { $celsius } °C
terminal-class = Klasse { $class }
terminal-cloud = Zündtemperatur der Wolke { $celsius } °C
terminal-layer = Glimmtemperatur der Schicht { $celsius } °C
terminal-depth = Schicht von { $depth } mm
terminal-ambient = Umgebung { $low } bis { $high } °C

## Überschriften
terminal-why = Warum, das Schlimmste zuerst
terminal-to-do = Zu tun: { $step }
terminal-hangs-on = Woran das Ergebnis hängt
terminal-deciding = Zeile { $line }, Zeichen { $first } bis { $last }, gelesen als „{ $text }“:
terminal-quoted = „{ $text }“
terminal-reading = { $outcome }, Wahrscheinlichkeit { $probability }
terminal-by-hand = Selbst prüfen
terminal-read-conditions = { $number }: die besonderen Bedingungen in der Bescheinigung lesen und sehen, dass jede erfüllt ist.
terminal-read-component = { $number }: dies ist ein Ex-Bauteil; die Bescheinigung des Gerätes suchen, zu dem es gehört.
terminal-warning = Das Schild warnt: „{ $warning }“
terminal-marking = Kennzeichnung  { $marking }
terminal-marking-of = Kennzeichnung { $number } von { $count }  { $marking }
terminal-repaired = „{ $from }“ zu „{ $to }“: { $repair }
terminal-alternative = { $value } ({ $probability })
terminal-doubt = { $field } { $confidence }; kann auch sein: { $also }
terminal-also = Außerdem auf dem Schild
terminal-codes = Codes auf dem Schild (fremder Text, nicht aufgerufen)
terminal-identification-link = Identifikationslink (IEC 61406-1)
terminal-several-circuits = mehrere Stromkreise: { $names } mehrmals aufgedruckt
terminal-contradictions = Passt nicht zusammen
terminal-photo = Zum Foto
terminal-unread = Gelesen, aber nicht verstanden
terminal-keep-in-mind = Zu bedenken

## Beschriftungen von höchstens 14 Spalten
label-read-as = gelesen als
label-repaired = korrigiert
label-today = heute
label-serves = reicht für
label-confidence = Sicherheit
label-doubt = Zweifel
label-note = Hinweis
label-review = nachsehen
label-critical = kritisch
label-enclosure = Gehäuse
label-circuit = Stromkreis
label-ratings = Bemessung
label-maker = Hersteller
label-type = Typ
label-serial = Seriennummer
label-year = Baujahr
label-code-qr = QR-Code
label-code-data-matrix = Data Matrix
label-line = Zeile { $line }

## Was ein Ort verlangt
terminal-order = Bestellung: { $line }
terminal-missing = Fehlt, bevor bestellt wird
terminal-for-gas = Für Gas
terminal-for-dust = Für Staub
terminal-for-mines = Für Bergwerke
terminal-dust-ip = IP{ $digit }X bei Zündschutzarten, die Staub fernhalten
terminal-notes = Hinweise
label-category = Kategorie
label-group = Gruppe
label-class = Klasse
label-surface = Oberfläche

## Stromkreis
terminal-loop-pass = BESTANDEN: jede prüfbare Zeile ist erfüllt.
terminal-loop-undecided = UNENTSCHIEDEN: ein Wert fehlt, oder das Verfahren gilt dafür nicht.
terminal-loop-fail = NICHT BESTANDEN: ein Grenzwert ist überschritten.
terminal-loop-lines = Zeilen
terminal-loop-no-group = nicht geprüft: place_group ist nicht angegeben
terminal-loop-no-level = nicht geprüft: place_level ist nicht angegeben
terminal-loop-halved = beide Grenzwerte halbiert: Ci und Li erreichen beide 1 %
terminal-loop-not-halved = keine: Ci oder Li bleibt unter 1 %
terminal-loop-halving-unknown = nicht zu sagen
terminal-loop-against = { $line }: { $total } { $unit } insgesamt, { $limit } { $unit } erlaubt
terminal-line-pass = erfüllt
terminal-line-fail = nicht erfüllt
label-voltage = Spannung
label-current = Strom
label-power = Leistung
label-capacitance = Kapazität
label-inductance = Induktivität
label-level = Niveau
label-halving = Halbierung
label-longest-cable = längstes Kabel
label-loop-level = Stromkreis

## Zeilen der Stofftabelle
terminal-table-note = Nur eine Hilfe: es gilt das Sicherheitsdatenblatt oder ein Laborwert des wirklichen Stoffes.
terminal-gas = { $name } (Gas oder Dampf)
terminal-dust = { $name } (Staub)
terminal-sourced = { $value } ({ $source }; { $known })
terminal-sourced-unit = { $value } { $unit } ({ $source }; { $known })
terminal-no-gas-group = keine Quelle nennt sie; selbst angeben
terminal-class-or-later = { $class } oder eine höhere
terminal-by-volume = Vol.-%
terminal-melts = schmilzt vorher
terminal-surface-by-lower-ends = höchstens { $celsius } °C nach den unteren Werten oben
terminal-organic = kann entwässern oder verkohlen
terminal-ignites = zündet bei { $celsius } °C ({ $known })
terminal-ignites-above = zündet über { $celsius } °C ({ $known })
terminal-ignites-between = zündet bei { $low } bis { $high } °C ({ $known })
terminal-ignites-to-above = zündet bei { $low } bis über { $high } °C ({ $known })
label-also-called = auch genannt
label-gas-group = Gasgruppe
label-nec-group = NEC-Gruppe
label-ignition = Zündtemperatur
label-class-needed = nötige Klasse
label-flash-point = Flammpunkt
label-lower-limit = UEG
label-upper-limit = OEG
label-remark = Bemerkung
label-dust-group = Staubgruppe
label-cloud = Wolke
label-layer = 5-mm-Schicht
label-organic = organisch
terminal-loop-device = Gerät { $number }
terminal-loop-source = Quelle
terminal-from-plate = Vom Schild: { $part }
terminal-from-plate-photo = Vom Schild: { $part }, { $photo }
terminal-not-used = nicht verwendet
terminal-not-used-because = nicht verwendet: { $doubt }
terminal-value-from = { $value } (Zeile { $line }: „{ $text }“)
