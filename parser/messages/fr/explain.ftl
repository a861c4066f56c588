
## Le symbole en tête
explain-ex = protégé contre les explosions selon les normes IEC ou EN
explain-eex = protégé contre les explosions selon les anciennes normes européennes (série EN 50014, jusque vers 2006) ; aujourd'hui le symbole est Ex
explain-aex = protégé contre les explosions selon les normes américaines de zones

## Modes de protection
explain-type = { $name } ({ $standard })
explain-type-how = { $named } : { $how }
explain-worth = à lui seul, vaut l'EPL { $epl }
explain-worth-unknown = seul le certificat dit quel niveau il donne
explain-type-today = ancienne écriture, aujourd'hui { $today }
explain-circuit = entre crochets, matériel associé : un circuit en { $named } sort de l'appareil et peut aller dans { $zones }, EPL { $epl } ; l'appareil lui-même n'y est pas admis pour autant
explain-circuit-no-level = entre crochets, matériel associé : un circuit en { $named } sort de l'appareil ; seul le certificat dit jusqu'où il peut aller, l'appareil lui-même n'y est pas admis pour autant
explain-american-circuit = matériel associé : un circuit en { $named } sort de l'appareil et peut aller dans la classe et la division ; l'appareil lui-même n'y est pas admis pour autant
explain-circuit-group = le circuit vaut pour le groupe { $group }
explain-combined = deux modes de protection indépendants réunis pour gagner un niveau ; le certificat dit comment
how-flameproof = une explosion à l'intérieur n'enflamme rien à l'extérieur
how-increased-safety = construit pour ne produire ni étincelle ni point chaud
how-intrinsic-safety = si peu d'énergie qu'aucune étincelle ni point chaud ne peut enflammer
how-encapsulation = ce qui étincelle ou chauffe est noyé dans un compound
how-non-sparking = ni étincelle ni point chaud en fonctionnement normal
how-sealed-or-enclosed-break = les contacts qui étincellent sont enfermés de façon à ne pas enflammer
how-restricted-breathing = si étanche qu'un gaz de passage n'entre guère
how-energy-limited = trop peu d'énergie pour enflammer en fonctionnement normal
how-pressurization = un gaz propre en surpression tient l'atmosphère à l'écart ; il faut le balayer et le surveiller
how-ventilated-room = la ventilation dilue ce qui se dégage à l'intérieur
how-liquid-immersion = ce qui étincelle ou chauffe est plongé dans un liquide
how-powder-filling = ce qui étincelle ou chauffe est entouré de grains fins qui étouffent une flamme
how-optical = ne parle que du faisceau ; le boîtier a besoin d'un mode de protection à lui
how-dust-enclosure = l'enveloppe tient la poussière à l'écart et sa surface reste assez froide
how-special = d'autres moyens, décrits dans le certificat
how-non-electrical = les sources d'inflammation des pièces mobiles sont évitées, surveillées ou immergées (modes c, b, k)
how-nonincendive = en service normal, rien dans l'appareil ne peut enflammer
how-n = pour le fonctionnement normal seulement ; une lettre de plus dirait comment

## Ligne de groupe et de catégorie
explain-line-mines = groupe d'appareils I : pour les mines (2014/34/EU ou son équivalent britannique)
explain-line-surface = groupe d'appareils II : pour les lieux autres que les mines (2014/34/EU ou son équivalent britannique)
explain-category-a = catégorie { $category } : très haut niveau de protection, sûr même en cas de défaut rare ou de deux défauts indépendants ; pour { $zones }
explain-category-b = catégorie { $category } : haut niveau de protection, sûr même avec les défauts auxquels il faut s'attendre ; pour { $zones }
explain-category-c = catégorie { $category } : niveau normal de protection, sûr en fonctionnement normal ; pour { $zones }
explain-category-boundary = se monte dans une paroi entre deux emplacements, une catégorie de chaque côté
explain-category-circuit = entre parenthèses : l'appareil n'est pas de catégorie { $category }, seuls les circuits qui en sortent l'atteignent
explain-letters = pour { $atmospheres }
explain-letter-gas = gaz, vapeur ou brouillard
explain-letter-dust = poussière
explain-letter-firedamp = grisou

## Amérique du Nord
explain-class-one = gaz et vapeurs inflammables (codes nord-américains)
explain-class-two = poussières combustibles (codes nord-américains)
explain-class-three = fibres et particules inflammables en suspension (codes nord-américains)
explain-no-division = sans division
explain-no-division-meaning = sans division, il vaut pour les Divisions 1 et 2
explain-division-one = danger présent en fonctionnement normal ; vaut aussi pour la Division 2 ; proche des zones 0 et 1
explain-division-two = danger présent seulement en fonctionnement anormal ; pas pour la Division 1 ; proche de la zone 2
explain-division-unknown = cette division n'existe pas
explain-american-zone = zone selon le système nord-américain

## Groupes de matériel
explain-group-i = groupe I : mines grisouteuses
explain-group-ii = gaz, sans lettre : complet pour certains modes seulement (e, m, nA, nR, o, p, q) ; les autres demandent IIA, IIB ou IIC
explain-group-iia = groupe de gaz : gaz comme le propane ; pas ceux de IIB ou IIC
explain-group-iib = groupe de gaz : gaz comme l'éthylène, et tous ceux de IIA ; pas ceux de IIC
explain-group-iib-h2 = groupe de gaz : tous ceux de IIB et l'hydrogène ; pas l'acétylène ni le disulfure de carbone
explain-group-iic = groupe de gaz : tous les gaz, hydrogène et acétylène compris ; couvre IIB et IIA
explain-group-iii = poussière, sans lettre : les poussières admises ne sont pas dites
explain-group-iiia = groupe de poussières : particules combustibles en suspension seulement
explain-group-iiib = groupe de poussières : poussières non conductrices et particules en suspension
explain-group-iiic = groupe de poussières : toutes les poussières, même conductrices ; couvre IIIB et IIIA
explain-group-letters = groupes des codes nord-américains : { $letters } ; chaque lettre compte pour elle-même
explain-letter-a = A acétylène
explain-letter-b = B hydrogène
explain-letter-c = C éthylène
explain-letter-d = D propane
explain-letter-e = E poussières métalliques
explain-letter-f = F poussières de charbon et de carbone
explain-letter-g = G poussières de céréales, de farine et de plastique
explain-second-group = un second groupe à côté du premier : { $meaning }
explain-unknown-group = ce groupe n'existe pas : le vérifier sur la plaque
explain-only-gas = seulement pour { $gas }, quel que soit le groupe

## Température
explain-class = classe de température : aucune surface ne dépasse { $limit } °C ; pour les gaz qui s'enflamment au-dessus (T1, 450 °C, est la classe la plus chaude, T6, 85 °C, la plus froide)
explain-range = entre { $first } ({ $first_c } °C) et { $last } ({ $last_c } °C), selon l'ambiance, le procédé ou le modèle : le certificat dit laquelle vaut
explain-max-surface = aucune surface ne dépasse { $limit } °C ; pour les gaz qui s'enflamment au-dessus
explain-by-ambient = la classe dépend de la température ambiante indiquée
explain-unknown-class = cette classe n'existe pas : la vérifier sur la plaque
explain-class-celsius = une température de surface à côté de la classe
explain-dust = pour la poussière : aucune surface ne dépasse { $limit } °C ; les nuages ne doivent s'enflammer qu'à 1,5 fois cette valeur, les couches 75 K au-dessus
explain-dust-layer = pour la poussière : aucune surface ne dépasse { $limit } °C sous une couche de { $depth } mm

## Niveau et lettres finales
explain-epl-a = niveau de protection du matériel (EPL), très haut : pour { $zones }
explain-epl-b = niveau de protection du matériel (EPL), haut : pour { $zones }
explain-epl-c = niveau de protection du matériel (EPL), renforcé : seulement pour { $zones }
explain-boundary = se monte dans une paroi entre deux emplacements : le niveau le plus fort du côté le plus sévère
explain-x = conditions particulières d'utilisation : elles sont dans le certificat et doivent être remplies
explain-u = composant Ex : certifié comme partie seulement, pas pour un emploi seul
explain-illegible = illisible : le vérifier sur la plaque

## Ce qui manque
explain-no-epl = sans EPL
explain-no-epl-old = non indiqué, comme avant 2007 environ ; mode de protection et catégorie valent ensemble { $levels }
explain-no-epl-meaning = non indiqué, alors que les marquages actuels en portent un ; mode de protection et catégorie valent ensemble { $levels }
explain-no-class = sans classe
explain-no-class-meaning = sans classe de température ni température, nul ne peut dire pour quels gaz les surfaces sont assez froides
explain-no-celsius = sans °C
explain-no-celsius-meaning = sans température de surface, nul ne peut dire pour quelles poussières les surfaces sont assez froides
explain-no-group = sans groupe
explain-no-group-meaning = sans groupe, nul ne peut dire pour quels gaz ou poussières il est fait
explain-no-line = sans ligne
explain-no-line-meaning = pas de ligne de groupe et de catégorie : dans l'Union européenne et en Grande-Bretagne elle doit figurer à côté ; { $line } serait le même niveau

## Le reste de la plaque
explain-mark-body = marquage de conformité avec le numéro de l'organisme qui surveille la production
explain-mark = marquage de conformité, sans numéro d'organisme
explain-certificate = certificat ({ $scheme })
explain-certificate-year = certificat ({ $scheme }), délivré pour la première fois en { $year }
explain-x-of-certificate = X : il contient des conditions particulières d'utilisation à remplir
explain-u-of-certificate = U : pour un composant Ex, qui ne s'emploie pas seul
explain-ambient = température ambiante : peut se trouver là où l'ambiance reste entre { $low } °C et { $high } °C
explain-no-ambient = sans Ta
explain-no-ambient-meaning = aucune température ambiante lue : la plage de la norme vaut alors, −20 °C à +40 °C
explain-ip = enveloppe (IEC 60529) : { $solids } ; { $water }
explain-ip-dust-tight = étanche à la poussière
explain-ip-dust-protected = protégée contre la poussière
explain-ip-open = ouverte au toucher
explain-ip-objects = n'arrête que les corps plus gros
explain-ip-no-solids = rien de dit sur les corps solides
explain-ip-no-protection = pas de protection contre l'eau
explain-ip-drips = gouttes d'eau
explain-ip-spray = eau en pluie
explain-ip-splashes = projections d'eau
explain-ip-jets = jets d'eau
explain-ip-strong-jets = jets d'eau puissants
explain-ip-short-immersion = immersion temporaire
explain-ip-long-immersion = immersion prolongée
explain-ip-hot-jets = jets chauds à haute pression
explain-ip-no-water = rien de dit sur l'eau
explain-type-successor = d'une génération plus ancienne, remplacé aujourd'hui par { $today }
explain-epl-gb = niveau de protection du matériel (EPL), haut : pour { $zones }, pas pour la zone 0
explain-epl-db = niveau de protection du matériel (EPL), haut : pour { $zones }, pas pour la zone 20
