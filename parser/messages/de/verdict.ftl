
## Vorbehalte
caution-decision = Nur eine Entscheidungshilfe. Es entscheiden die Bescheinigung mit ihren Bedingungen, die Normen, die örtlichen Vorschriften, die Behörde und eine befähigte Person.
caution-reading = Das Ergebnis hängt von der Lesung ab. Vor der Verwendung jedes Zeichen mit dem Schild vergleichen.
caution-place = Das Ergebnis hängt von den angegebenen Daten des Ortes ab (Zone, Gruppe, Zündtemperatur, Schicht, Umgebungstemperatur). Falsche Angaben geben eine falsche Antwort.
caution-installation = Ein geeignetes Schild sagt nichts über Errichtung, Schäden, Kabeleinführungen, Änderungen, Einstellungen, Stromkreis oder Erdung.
caution-tables = Werte wie Zündtemperaturen stammen aus Tabellen; Prozessgemische, Druck, Sauerstoffanreicherung und Temperaturen außerhalb atmosphärischer Bedingungen sind nicht erfasst.
caution-schemes = Eine Kennzeichnung nach einem System ist keine Zulassung nach einem anderen.

## Hinweise
note-restricted-breathing = nR: die Dichtung muss nach jedem Öffnen geprüft werden; wo ein Prüfanschluss vorhanden ist, ist in Abständen von sechs Monaten oder mehr eine Druckprüfung fällig (geprüft).
note-pressurization = p: braucht Spülung und Verriegelung.
note-loop = i: der eigensichere Stromkreis ist gesondert nachzuweisen; er zählt als sein schwächstes ia, ib oder ic.
note-circuit = Nur der eigensichere Stromkreis in Klammern erreicht das Niveau in den Klammern.
note-low-ip = Die IP-Schutzart liegt unter IP5X; die Bescheinigung kann ein weiteres Gehäuse verlangen.
note-process-temperature = h: die Klasse aus dem Bereich folgt meist der Prozesstemperatur, nicht der Umgebung.
note-no-ambient-printed = Kein Umgebungsbereich aufgedruckt: { $low } °C bis { $high } °C angenommen (IEC 60079-0:2017 5.1.1; geprüft).
note-no-ambient-given = Der Umgebungsbereich des Ortes ist nicht angegeben: { $low } °C bis { $high } °C angenommen.
note-non-hazardous = Der Ort ist nicht explosionsgefährdet: das angegebene Gas oder der Staub blieb außer Betracht.
note-dust-in-mine = Im Bergwerk blieb der angegebene Staub außer Betracht: Kohlenstaub ist durch Gruppe I erfasst.
note-not-in-table = „{ $name }“ steht nicht in der Tabelle: dafür stehen nur die angegebenen Werte.
note-of-table = { $name }: { $note }.
note-other-marking = „{ $marking }“ allein wäre hier { $outcome }; je Atmosphäre zählt die beste Kennzeichnung.
note-same-outcome = { $doubt } Jede plausible Lesung führt hier zum selben Ergebnis.

## Zweifelhafte Lesungen
reading-change = „{ $text }“ statt „{ $best }“ in Zeile { $line }
reading-worse = wenn auf dem Schild { $changes } steht ({ $percent } %): { $reason }
next-compare-doubtful = Die zweifelhaften Zeichen mit dem Schild vergleichen.
next-place-asks = Der Ort verlangt: { $wanted }.
next-read-field = Das Feld selbst vom Schild ablesen.
by-hand-d = d: Spalte, Schrauben, Gewinde, Kabeleinführungen und Hindernisse vor den Spalten sind anzusehen (IEC 60079-17; teils geprüft).
by-hand-e = e, nA: Kabeleinführungen, Klemmen und Dichtungen sind anzusehen, bei einem Motor auch der Überlastschutz (IEC 60079-17; teils geprüft).
by-hand-m = m: Sicherung und Versorgung, die die Bescheinigung verlangt, sind anzusehen (aus dem Gedächtnis).
by-hand-t = t: Dichtungen, Kabeleinführungen und die Dicke des Staubes sind anzusehen (IEC 60079-17; teils geprüft).
by-hand-o = o, k: Art und Stand der Flüssigkeit sind anzusehen (aus dem Gedächtnis).
by-hand-op = op: Faser, Stecker und Verriegelung sind anzusehen (aus dem Gedächtnis).
by-hand-h = h, c: Lager, Abstände, Schmierung und Betriebstemperaturen sind anzusehen (aus dem Gedächtnis).
