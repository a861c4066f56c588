
## Was verglichen wird; steht am Anfang eines Satzes und hinter einem Doppelpunkt
compare-type = Zündschutzart
compare-level = Schutzniveau
compare-group = Gruppe
compare-gas = Gas
compare-temperature = Temperatur
compare-dust-temperature = Oberflächentemperatur für Staub
compare-category = Kategorie
compare-place = Class, Division oder Zone
compare-ambient = Umgebungstemperatur
compare-kind = Gerätetyp
compare-suffix = X oder U

## Was auf dem Schild oder in der Bescheinigung steht
compare-none = nichts
compare-every-gas = jedes Gas
compare-gas-only = nur { $gas }
compare-range = { $low } °C bis { $high } °C
compare-range-not-given = { $range } (nichts angegeben)
compare-kind-not-read = nichts, das gelesen wurde
compare-no-suffix = weder X noch U

## Das Schild gegen die Liste der Bescheinigungen
certificate-no-number = es wurde keine Bescheinigungsnummer gelesen, deshalb konnte das Schild nicht mit der Liste der Bescheinigungen verglichen werden
certificate-printed-too = { $number } steht auch auf dem Schild und nicht in der Liste der Bescheinigungen
certificate-not-listed = { $number } steht nicht in der Liste der Bescheinigungen: das Schild wurde mit keiner Bescheinigung verglichen
certificate-near = { $number } steht nicht in der Liste der Bescheinigungen, aber beinahe: { $others }
certificate-near-one = { $number } ({ $have } auf dem Schild, { $listed } in der Liste)
certificate-nothing = nichts
certificate-other-issues = das Schild nennt Ausgabe { $issue } von { $number }, die Liste hat nur Ausgabe { $listed }
certificate-no-marking = die Liste nennt für { $entry } keine Kennzeichnung: sie wurde nicht damit verglichen
certificate-fails-here = was { $entry } bescheinigt, ist für den Ort nicht geeignet: { $reason }
certificate-later-issue = das Schild nennt Ausgabe { $issue }, die Liste hat eine spätere Ausgabe von { $number }
certificate-agrees = das Schild stimmt mit { $entry } überein
certificate-agrees-beside = das Schild stimmt mit { $entry } überein; in der Liste steht auch { $others }, deshalb die Nummer Ziffer für Ziffer vergleichen
certificate-other-listed = { $number } ist nicht sicher gelesen: es kann { $others } sein, und auch das steht in der Liste der Bescheinigungen
certificate-not-surely-read = { $number } ist nicht sicher gelesen ({ $percent } % für eine andere Nummer, etwa { $others }): der Vergleich mit der Liste der Bescheinigungen entscheidet nichts
certificate-claims-other = bis das geklärt ist, ist es das falsche Gerät, ein falsches Schild oder ein geändertes Gerät
certificate-claims-less = das Schild behauptet nicht mehr, als bescheinigt ist, doch der Unterschied ist zu klären
certificate-difference = { $what }: auf dem Schild { $plate }, in { $entry } { $certificate }; { $claim }
certificate-x-unquoted = { $entry } trägt ein X, und die Liste nennt die Bedingungen nicht
certificate-condition = Bedingung { $index } von { $count } aus { $entry }: „{ $condition }“
certificate-other-atmosphere = „{ $marking }“ gilt für eine Atmosphäre, von der { $entries } nicht spricht
next-find-certificate = Bescheinigung oder Konformitätserklärung des Gerätes suchen und das Schild damit vergleichen.
next-get-certificate = Die Bescheinigung { $number } holen und das Schild damit vergleichen.
next-compare-digits = Die Bescheinigungsnummer Ziffer für Ziffer mit dem Schild vergleichen; lautet sie { $number }, diese Bescheinigung holen.
next-get-issue = Ausgabe { $issue } von { $number } holen und das Schild damit vergleichen.
next-compare-marking = Die Kennzeichnung mit der Bescheinigung { $number } vergleichen.
next-later-issue = Nachsehen, was die spätere Ausgabe geändert hat und ob es dieses Gerät betrifft.
next-compare-with-certificate = Das Schild mit der Bescheinigung { $number } vergleichen: { $what }.
next-read-conditions = Die besonderen Bedingungen in der Bescheinigung { $number } lesen.
next-meet-condition = Sicherstellen, dass dies erfüllt ist: „{ $condition }“
next-find-other-certificate = Die Bescheinigung suchen, auf der diese Kennzeichnung beruht.
