
## D'où viennent les valeurs
require-mixture = Gaz et poussière ensemble : leur mélange est à évaluer (IEC 60079-14 ; de mémoire).
require-risk-assessment = L'EPL { $epl } est celui de l'évaluation des risques, qui doit être documentée.
require-ignition-given = température d'inflammation { $celsius } °C, donnée
require-ignites = { $gas } s'enflamme à { $tables }
require-group-of-gas = { $gas } est { $group } ({ $known }).
require-stricter-group = Le groupe { $given } est donné, mais la table demande { $table }, qui est pris.
require-temperature = Température : { $ignition }.
require-give-ignition = Donner la température d'inflammation du gaz (ignition_c).
require-give-ignition-in = Donner la température d'inflammation ({ $field }).
require-give-letter = Donner la lettre de groupe de l'emplacement ({ $field }).
require-no-class = Aucune classe de température ne reste sous la température d'inflammation : la température de surface est à convenir en °C.
require-dust-group-table = Le groupe de poussières est celui de la table : faire mesurer la poussière.
require-dust-group-default = Le groupe de poussières n'est pas donné : IIIC couvre toute poussière.
require-dust-tables = Les températures d'inflammation sont les valeurs basses de tables publiques : seule compte une valeur de laboratoire de la poussière réelle.
require-thick-layer = Une couche de { $depth } mm : donner la température de surface qu'elle permet (max_surface_c).
require-dust-surface = Surface : au plus 2/3 de la température d'inflammation du nuage et 75 K sous celle de la couche de 5 mm (IEC 60079-14 5.6.3 ; vérifié).
require-organic = Au plus 165 °C pour poussières organiques et fibres (NEC 500.8(D) ; vérifié).

## La commande
order-epl = EPL { $epl } ({ $category }) ou mieux
order-group = groupe { $group } ou mieux
order-group-mines = groupe I
order-class = classe de température { $class } ou mieux
order-code = code T { $class } ou mieux
order-letters = Group { $letters }
order-surface = surface au plus à { $celsius } °C
order-dust-ip = IP{ $digit }X ou mieux pour le mode t
order-ambient = température ambiante { $low } °C à { $high } °C
order-no-protection = aucune protection contre les explosions demandée
order-papers = avec certificat, déclaration de conformité et notice
