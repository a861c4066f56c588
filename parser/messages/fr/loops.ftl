
## Contrôle d'une boucle
loop-source-missing = { $quantity } de la source manque.
loop-above = { $output } { $value } est supérieur à { $input } { $limit } de l'appareil { $device }.
loop-device-missing = { $quantity } de l'appareil { $device } manque.
loop-no-device = Aucun appareil n'est donné.
loop-cable-default = { $unit } du câble n'est pas donné : { $value } pris pour un câble ordinaire (vérifié).
loop-lumped-missing = { $quantity } d'un appareil manque ; seul ce qui est indiqué comme négligeable compte pour 0.
loop-halved = Les deux valeurs localisées atteignent 1 % de Co et Lo : les limites sont divisées par deux.
loop-by-ratio = L'inductance passe par L/R du câble face à Lo/Ro.
loop-no-group = Le groupe de la colonne de Co et Lo manque.
loop-group = Co et Lo sont du groupe { $have }, l'emplacement demande { $need }.
loop-level = La boucle est i{ $have }, l'emplacement demande i{ $need }.
loop-no-level = Un niveau (ia, ib, ic) de la boucle manque.
loop-not-simple = Plusieurs sources ou limitation électronique : cette méthode ne s'applique pas.
