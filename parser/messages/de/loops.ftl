
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
