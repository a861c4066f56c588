
## Woher die Werte stammen
require-mixture = Gas und Staub zusammen: das Gemisch aus beiden ist zu beurteilen (IEC 60079-14; aus dem Gedächtnis).
require-risk-assessment = EPL { $epl } ist das der Gefährdungsbeurteilung, die dokumentiert sein muss.
require-ignition-given = Zündtemperatur { $celsius } °C wie angegeben
require-ignites = { $gas } zündet bei { $tables }
require-group-of-gas = { $gas } gehört zu { $group } ({ $known }).
require-stricter-group = Gruppe { $given } ist angegeben, aber die Tabelle verlangt { $table }, was gilt.
require-temperature = Temperatur: { $ignition }.
require-give-ignition = Die Zündtemperatur des Gases angeben (ignition_c).
require-give-ignition-in = Die Zündtemperatur angeben ({ $field }).
require-give-letter = Den Gruppenbuchstaben des Ortes angeben ({ $field }).
require-no-class = Keine Temperaturklasse bleibt unter der Zündtemperatur: die Oberflächentemperatur ist in °C zu vereinbaren.
require-dust-group-table = Die Staubgruppe ist die der Tabelle: den Staub untersuchen lassen.
require-dust-group-default = Die Staubgruppe ist nicht angegeben: IIIC schließt jeden Staub ein.
require-dust-tables = Die Zündtemperaturen sind die unteren Werte öffentlicher Tabellen: nur ein Laborwert des wirklichen Staubes zählt.
require-thick-layer = Eine Schicht von { $depth } mm: die Oberflächentemperatur angeben, die sie zulässt (max_surface_c).
require-dust-surface = Oberfläche: höchstens 2/3 der Zündtemperatur der Wolke und 75 K unter der Glimmtemperatur der 5-mm-Schicht (IEC 60079-14 5.6.3; geprüft).
require-organic = Höchstens 165 °C für organischen Staub und Fasern (NEC 500.8(D); geprüft).

## Die Bestellung
order-epl = EPL { $epl } ({ $category }) oder besser
order-group = Gruppe { $group } oder besser
order-group-mines = Gruppe I
order-class = Temperaturklasse { $class } oder besser
order-code = T-Code { $class } oder besser
order-letters = Group { $letters }
order-surface = Oberfläche höchstens { $celsius } °C
order-dust-ip = IP{ $digit }X oder besser bei Zündschutzart t
order-ambient = Umgebungstemperatur { $low } °C bis { $high } °C
order-no-protection = kein Explosionsschutz verlangt
order-papers = mit Bescheinigung, Konformitätserklärung und Betriebsanleitung
