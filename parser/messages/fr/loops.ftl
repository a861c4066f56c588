
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

## Valeurs tirées des plaques
loop-value = { $value } { $unit }
loop-part-source = La source
loop-part-device = Appareil { $device }
loop-part-doubt = { $part } : { $doubt }
loop-plate-curved = Po n'est pas Uo · Io / 4 : la source est limitée par électronique, ce que cette méthode ne couvre pas.
loop-plate-linear = Une plaque ne dit pas si la source est linéaire (limitée par une résistance) : voir son certificat.
loop-plate-not-read = { $quantity } n'a pas été lu sur la plaque.
loop-plate-may-be = { $quantity } est peut-être { $values }.
loop-plate-may-be-else = { $quantity } est peut-être autre chose que { $value }.
loop-plate-not-safe = { $quantity } n'est pas utilisé : aucun niveau d'un circuit de sécurité intrinsèque n'a été lu.
loop-plate-hard = { $quantity } est difficile à lire ({ $value }).
loop-plate-several = { $quantity } est imprimé pour plusieurs circuits ({ $values }) ; donner la boucle par un fichier.
loop-plate-levels-differ = Le niveau diffère entre les lectures.
loop-plate-groups-differ = Le groupe diffère entre les lectures.
loop-plate-no-output = Aucune sortie de sécurité intrinsèque telle que [Ex ia Ga] n'a été lue sur la plaque.
loop-plate-no-safety = Aucune sécurité intrinsèque telle que Ex ia n'a été lue sur la plaque.
loop-plate-no-group = Le groupe de la colonne de Co et Lo n'a pas été lu sur la plaque.
