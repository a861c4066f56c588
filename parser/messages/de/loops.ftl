
## Prüfung eines Stromkreises
loop-source-missing = { $quantity } der Quelle fehlt.
loop-above = { $output } { $value } liegt über { $input } { $limit } von Gerät { $device }.
loop-device-missing = { $quantity } von Gerät { $device } fehlt.
loop-no-device = Kein Gerät ist angegeben.
loop-cable-default = { $unit } des Kabels ist nicht angegeben: { $value } für ein gewöhnliches Kabel angenommen (geprüft).
loop-lumped-missing = { $quantity } eines Gerätes fehlt; nur was als vernachlässigbar aufgedruckt ist, zählt als 0.
loop-halved = Beide konzentrierten Werte erreichen 1 % von Co und Lo: die Grenzwerte sind halbiert.
loop-by-ratio = Die Induktivität besteht über L/R des Kabels gegen Lo/Ro.
loop-no-group = Die Gruppe der Spalte von Co und Lo fehlt.
loop-group = Co und Lo gehören zu Gruppe { $have }, der Ort verlangt { $need }.
loop-level = Der Stromkreis ist i{ $have }, der Ort verlangt i{ $need }.
loop-no-level = Ein Schutzniveau (ia, ib, ic) im Stromkreis fehlt.
loop-not-simple = Mehrere Quellen oder elektronische Begrenzung: dieses Verfahren gilt dafür nicht.

## Werte von Schildern
loop-value = { $value } { $unit }
loop-part-source = Die Quelle
loop-part-device = Gerät { $device }
loop-part-doubt = { $part }: { $doubt }
loop-plate-curved = Po ist nicht Uo · Io / 4: die Quelle ist elektronisch begrenzt, und dafür gilt dieses Verfahren nicht.
loop-plate-linear = Ein Schild sagt nicht, ob die Quelle linear ist (durch einen Widerstand begrenzt): siehe ihre Bescheinigung.
loop-plate-not-read = { $quantity } wurde auf dem Schild nicht gelesen.
loop-plate-may-be = { $quantity } ist vielleicht { $values }.
loop-plate-may-be-else = { $quantity } ist vielleicht etwas anderes als { $value }.
loop-plate-not-safe = { $quantity } wird nicht verwendet: es wurde kein Schutzniveau eines eigensicheren Stromkreises gelesen.
loop-plate-hard = { $quantity } ist schwer zu lesen ({ $value }).
loop-plate-several = { $quantity } steht für mehrere Stromkreise auf dem Schild ({ $values }); den Stromkreis als Datei angeben.
loop-plate-levels-differ = Das Schutzniveau ist je nach Lesart verschieden.
loop-plate-groups-differ = Die Gruppe ist je nach Lesart verschieden.
loop-plate-no-output = Auf dem Schild wurde kein eigensicherer Ausgang wie [Ex ia Ga] gelesen.
loop-plate-no-safety = Auf dem Schild wurde keine Eigensicherheit wie Ex ia gelesen.
loop-plate-no-group = Die Gruppe der Spalte von Co und Lo wurde auf dem Schild nicht gelesen.
