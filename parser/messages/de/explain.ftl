
## Das Zeichen am Anfang
explain-ex = explosionsgeschützt nach den IEC- oder EN-Normen
explain-eex = explosionsgeschützt nach den alten europäischen Normen (Reihe EN 50014, bis etwa 2006); heute lautet das Zeichen Ex
explain-aex = explosionsgeschützt nach den amerikanischen Zonennormen

## Zündschutzarten
explain-type = { $name } ({ $standard })
explain-type-how = { $named }: { $how }
explain-worth = für sich allein EPL { $epl } wert
explain-worth-unknown = welches Schutzniveau es gibt, sagt nur die Bescheinigung
explain-type-today = ältere Schreibweise, heute { $today }
explain-circuit = in eckigen Klammern, zugehöriges Betriebsmittel: ein Stromkreis in { $named } führt aus dem Gerät heraus und darf in { $zones }, EPL { $epl }; das Gerät selbst darf dadurch noch nicht dorthin
explain-circuit-no-level = in eckigen Klammern, zugehöriges Betriebsmittel: ein Stromkreis in { $named } führt aus dem Gerät heraus; wohin er darf, sagt nur die Bescheinigung, das Gerät selbst darf dadurch noch nicht dorthin
explain-american-circuit = zugehöriges Betriebsmittel: ein Stromkreis in { $named } führt aus dem Gerät heraus und darf in Class und Division; das Gerät selbst darf dadurch noch nicht dorthin
explain-circuit-group = der Stromkreis gilt für die Gruppe { $group }
explain-combined = zwei unabhängige Zündschutzarten, zusammen für ein Niveau mehr; die Bescheinigung sagt, wie
how-flameproof = eine Explosion im Inneren zündet nichts außerhalb
how-increased-safety = so gebaut, dass kein Funke und keine heiße Stelle entsteht
how-intrinsic-safety = so wenig Energie, dass kein Funke und keine heiße Stelle zünden kann
how-encapsulation = was funkt oder heiß wird, ist in Vergussmasse eingebettet
how-non-sparking = kein Funke und keine heiße Stelle im Normalbetrieb
how-sealed-or-enclosed-break = funkende Kontakte sind so eingeschlossen, dass sie nicht zünden können
how-restricted-breathing = so dicht, dass vorüberziehendes Gas kaum eindringt
how-energy-limited = zu wenig Energie, um im Normalbetrieb zu zünden
how-pressurization = sauberes Gas mit Überdruck hält die Atmosphäre fern; es muss gespült und überwacht werden
how-ventilated-room = Lüftung verdünnt, was im Inneren austritt
how-liquid-immersion = was funkt oder heiß wird, liegt in einer Flüssigkeit
how-powder-filling = was funkt oder heiß wird, liegt in feinen Körnern, die eine Flamme ersticken
how-optical = gilt nur für den Lichtstrahl; das Gehäuse braucht eine eigene Zündschutzart
how-dust-enclosure = das Gehäuse hält Staub fern, und seine Oberfläche bleibt kühl genug
how-special = andere Mittel, in der Bescheinigung beschrieben
how-non-electrical = Zündquellen bewegter Teile sind vermieden, überwacht oder getaucht (Arten c, b, k)
how-nonincendive = im Normalbetrieb kann nichts darin zünden
how-n = nur für den Normalbetrieb; ein weiterer Buchstabe würde sagen, wie

## Gruppen- und Kategoriezeile
explain-line-mines = Gerätegruppe I: für Bergwerke (2014/34/EU oder ihr britisches Gegenstück)
explain-line-surface = Gerätegruppe II: für alle Orte außer Bergwerken (2014/34/EU oder ihr britisches Gegenstück)
explain-category-a = Kategorie { $category }: sehr hohes Schutzmaß, sicher auch bei seltenen oder zwei unabhängigen Fehlern; für { $zones }
explain-category-b = Kategorie { $category }: hohes Schutzmaß, sicher auch bei Fehlern, mit denen zu rechnen ist; für { $zones }
explain-category-c = Kategorie { $category }: normales Schutzmaß, sicher im Normalbetrieb; für { $zones }
explain-category-boundary = steht in einer Wand zwischen zwei Bereichen, auf jeder Seite eine Kategorie
explain-category-circuit = in runden Klammern: nicht das Gerät ist von Kategorie { $category }, nur die herausgeführten Stromkreise erreichen sie
explain-letters = für { $atmospheres }
explain-letter-gas = Gas, Dampf oder Nebel
explain-letter-dust = Staub
explain-letter-firedamp = Grubengas

## Nordamerika
explain-class-one = brennbare Gase und Dämpfe (nordamerikanische Vorschriften)
explain-class-two = brennbare Stäube (nordamerikanische Vorschriften)
explain-class-three = entzündbare Fasern und Flusen (nordamerikanische Vorschriften)
explain-no-division = Division fehlt
explain-no-division-meaning = ohne Division gilt es für Division 1 und 2
explain-division-one = Gefahr im Normalbetrieb; gilt auch für Division 2; am ehesten Zone 0 und 1
explain-division-two = Gefahr nur bei gestörtem Betrieb; nicht für Division 1; am ehesten Zone 2
explain-division-unknown = eine solche Division gibt es nicht
explain-american-zone = Zone nach nordamerikanischer Zählung

## Explosionsgruppen
explain-group-i = Gruppe I: schlagwettergefährdete Bergwerke
explain-group-ii = Gas, ohne Buchstaben: vollständig nur bei manchen Zündschutzarten (e, m, nA, nR, o, p, q); andere brauchen IIA, IIB oder IIC
explain-group-iia = Explosionsgruppe: Gase wie Propan; nicht die von IIB oder IIC
explain-group-iib = Explosionsgruppe: Gase wie Ethylen und alle von IIA; nicht die von IIC
explain-group-iib-h2 = Explosionsgruppe: alle Gase von IIB und Wasserstoff; nicht Acetylen oder Schwefelkohlenstoff
explain-group-iic = Explosionsgruppe: alle Gase, auch Wasserstoff und Acetylen; schließt IIB und IIA ein
explain-group-iii = Staub, ohne Buchstaben: für welche Stäube, ist nicht gesagt
explain-group-iiia = Staubgruppe: nur brennbare Flusen
explain-group-iiib = Staubgruppe: nichtleitfähiger Staub und Flusen
explain-group-iiic = Staubgruppe: alle Stäube, auch leitfähige; schließt IIIB und IIIA ein
explain-group-letters = Gruppen der nordamerikanischen Vorschriften: { $letters }; jeder Buchstabe gilt für sich
explain-letter-a = A Acetylen
explain-letter-b = B Wasserstoff
explain-letter-c = C Ethylen
explain-letter-d = D Propan
explain-letter-e = E Metallstaub
explain-letter-f = F Kohle- und Kohlenstoffstaub
explain-letter-g = G Getreide-, Mehl- und Kunststoffstaub
explain-second-group = eine zweite Gruppe neben der ersten: { $meaning }
explain-unknown-group = eine solche Gruppe gibt es nicht: auf dem Schild nachsehen
explain-only-gas = nur für { $gas }, gleich welche Gruppe

## Temperatur
explain-class = Temperaturklasse: keine Oberfläche wird heißer als { $limit } °C; für Gase, die erst darüber zünden (T1 mit 450 °C ist die heißeste, T6 mit 85 °C die kühlste Klasse)
explain-range = zwischen { $first } ({ $first_c } °C) und { $last } ({ $last_c } °C), je nach Umgebung, Prozess oder Ausführung: die Bescheinigung sagt, was gilt
explain-max-surface = keine Oberfläche wird heißer als { $limit } °C; für Gase, die erst darüber zünden
explain-by-ambient = die Klasse hängt von der aufgedruckten Umgebungstemperatur ab
explain-unknown-class = eine solche Klasse gibt es nicht: auf dem Schild nachsehen
explain-class-celsius = eine Oberflächentemperatur neben der Klasse
explain-dust = für Staub: keine Oberfläche wird heißer als { $limit } °C; Wolken dürfen erst beim 1,5-Fachen zünden, Schichten erst 75 K darüber
explain-dust-layer = für Staub: keine Oberfläche wird heißer als { $limit } °C unter einer Staubschicht von { $depth } mm

## Niveau und Buchstaben dahinter
explain-epl-a = Geräteschutzniveau (EPL), sehr hoch: für { $zones }
explain-epl-b = Geräteschutzniveau (EPL), hoch: für { $zones }
explain-epl-c = Geräteschutzniveau (EPL), erweitert: nur für { $zones }
explain-boundary = steht in einer Wand zwischen zwei Bereichen: das höhere Niveau zum strengeren hin
explain-x = besondere Bedingungen: sie stehen in der Bescheinigung und müssen erfüllt sein
explain-u = Ex-Bauteil: nur als Teil bescheinigt, nicht allein zu verwenden
explain-illegible = nicht lesbar: auf dem Schild nachsehen

## Was fehlt
explain-no-epl = EPL fehlt
explain-no-epl-old = nicht aufgedruckt, wie bis etwa 2007 üblich; Zündschutzart und Kategorie zusammen sind { $levels } wert
explain-no-epl-meaning = nicht aufgedruckt, obwohl heutige Kennzeichnungen eines tragen; Zündschutzart und Kategorie zusammen sind { $levels } wert
explain-no-class = Klasse fehlt
explain-no-class-meaning = ohne Temperaturklasse oder Temperatur lässt sich nicht sagen, für welche Gase die Oberflächen kühl genug sind
explain-no-celsius = °C fehlt
explain-no-celsius-meaning = ohne Oberflächentemperatur lässt sich nicht sagen, für welche Stäube die Oberflächen kühl genug sind
explain-no-group = Gruppe fehlt
explain-no-group-meaning = ohne Gruppe lässt sich nicht sagen, für welche Gase oder Stäube es gebaut ist
explain-no-line = Zeile fehlt
explain-no-line-meaning = keine Gruppen- und Kategoriezeile: in der Europäischen Union und in Großbritannien muss sie daneben stehen; { $line } wäre dasselbe Niveau

## Das übrige Schild
explain-mark-body = Konformitätszeichen mit der Nummer der Stelle, die die Fertigung überwacht
explain-mark = Konformitätszeichen, ohne Nummer einer Stelle
explain-certificate = Bescheinigung ({ $scheme })
explain-certificate-year = Bescheinigung ({ $scheme }), zuerst ausgestellt { $year }
explain-x-of-certificate = X: sie enthält besondere Bedingungen, die erfüllt sein müssen
explain-u-of-certificate = U: für ein Ex-Bauteil, das nicht allein verwendet werden darf
explain-ambient = Umgebungstemperatur: darf dort stehen, wo die Umgebung zwischen { $low } °C und { $high } °C bleibt
explain-no-ambient = Ta fehlt
explain-no-ambient-meaning = keine Umgebungstemperatur gelesen: dann gilt der Bereich der Norm, −20 °C bis +40 °C
explain-ip = Gehäuse (IEC 60529): { $solids }; { $water }
explain-ip-dust-tight = staubdicht
explain-ip-dust-protected = staubgeschützt
explain-ip-open = offen für Berührung
explain-ip-objects = hält nur größere Fremdkörper ab
explain-ip-no-solids = zu Fremdkörpern nichts gesagt
explain-ip-no-protection = kein Schutz gegen Wasser
explain-ip-drips = Tropfwasser
explain-ip-spray = Sprühwasser
explain-ip-splashes = Spritzwasser
explain-ip-jets = Strahlwasser
explain-ip-strong-jets = starkes Strahlwasser
explain-ip-short-immersion = zeitweiliges Untertauchen
explain-ip-long-immersion = dauerndes Untertauchen
explain-ip-hot-jets = heißes Wasser mit Hochdruck
explain-ip-no-water = zu Wasser nichts gesagt
explain-type-successor = aus einer älteren Generation, heute steht dafür { $today }
explain-epl-gb = Geräteschutzniveau (EPL), hoch: für { $zones }, nicht für Zone 0
explain-epl-db = Geräteschutzniveau (EPL), hoch: für { $zones }, nicht für Zone 20
