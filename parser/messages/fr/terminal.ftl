
## Résultat
terminal-named = { $name } : { $said }
terminal-suitable = ADAPTÉ pour { $place }.
terminal-conditional = SOUS CONDITIONS pour { $place } : admis seulement si les conditions ci-dessous sont remplies.
terminal-undecided = INDÉCIS pour { $place } : ne pas s'y fier avant d'avoir réglé les points ci-dessous.
terminal-undecided-no-marking = INDÉCIS pour { $place } : aucun marquage lu.
terminal-unsuitable = INADAPTÉ pour { $place }.
terminal-probability = Parmi les lectures plausibles, { $share } (en poids) donnent ce résultat ou un meilleur.
terminal-no-marking = AUCUN MARQUAGE lu.
terminal-not-judged = LU, NON JUGÉ : donner un emplacement pour un verdict (--zone 1 --gas ethanol).
terminal-markings = Marquage : { $markings }
terminal-review = Une personne doit regarder avant l'emploi : voir « { $heading } ».

## L'emplacement en une ligne
terminal-zone = zone { $zone }
terminal-zones = zones { $zones }
terminal-mine-m1 = mine M1
terminal-mine-m2 = mine M2
terminal-non-hazardous = non dangereux
terminal-group = groupe { $group }
terminal-ignition = inflammation à { $celsius } °C
terminal-class = classe { $class }
terminal-cloud = inflammation du nuage à { $celsius } °C
terminal-layer = inflammation de la couche à { $celsius } °C
terminal-depth = couche de { $depth } mm
terminal-ambient = ambiance { $low } à { $high } °C

## Titres
terminal-why = Pourquoi, le pire d'abord
terminal-to-do = À faire : { $step }
terminal-hangs-on = À quoi tient le résultat
terminal-deciding = ligne { $line }, caractères { $first } à { $last }, lu « { $text } » :
terminal-quoted = « { $text } »
terminal-reading = { $outcome }, probabilité { $probability }
terminal-by-hand = À vérifier soi-même
terminal-read-conditions = { $number } : lire dans le certificat les conditions particulières d'utilisation et voir que chacune est remplie.
terminal-read-component = { $number } : c'est un composant Ex ; chercher le certificat du matériel dont il fait partie.
terminal-warning = La plaque avertit : « { $warning } »
terminal-marking = Marquage  { $marking }
terminal-marking-of = Marquage { $number } sur { $count }  { $marking }
terminal-repaired = « { $from } » en « { $to } » : { $repair }
terminal-alternative = { $value } ({ $probability })
terminal-doubt = { $field } { $confidence } ; peut aussi être { $also }
terminal-also = Aussi sur la plaque
terminal-codes = Codes sur la plaque (texte étranger, non suivi)
terminal-identification-link = lien d’identification (IEC 61406-1)
terminal-several-circuits = plusieurs circuits : { $names } indiqués plusieurs fois
terminal-contradictions = Ne s'accorde pas
terminal-photo = Sur la photo
terminal-unread = Lu, mais pas compris
terminal-keep-in-mind = À garder à l'esprit

## Libellés de 14 colonnes au plus
label-read-as = lu comme
label-repaired = corrigé
label-today = aujourd'hui
label-serves = dessert
label-confidence = confiance
label-doubt = doute
label-note = note
label-review = à revoir
label-critical = critique
label-enclosure = enveloppe
label-circuit = circuit
label-ratings = valeurs
label-maker = fabricant
label-type = type
label-serial = n° de série
label-year = année
label-code-qr = code QR
label-code-data-matrix = Data Matrix
label-line = ligne { $line }

## Ce qu'un emplacement demande
terminal-order = Commande : { $line }
terminal-missing = Manque avant toute commande
terminal-for-gas = Pour le gaz
terminal-for-dust = Pour la poussière
terminal-for-mines = Pour les mines
terminal-dust-ip = IP{ $digit }X pour les modes qui tiennent la poussière à l'écart
terminal-notes = Remarques
label-category = catégorie
label-group = groupe
label-class = classe
label-surface = surface

## Boucle
terminal-loop-pass = CONFORME : chaque ligne vérifiable est tenue.
terminal-loop-undecided = INDÉCIS : une valeur manque ou la méthode ne s'applique pas.
terminal-loop-fail = NON CONFORME : une limite est dépassée.
terminal-loop-lines = Lignes
terminal-loop-no-group = non vérifié : place_group n'est pas donné
terminal-loop-no-level = non vérifié : place_level n'est pas donné
terminal-loop-halved = les deux limites divisées par deux : Ci et Li atteignent 1 %
terminal-loop-not-halved = aucune : Ci ou Li reste sous 1 %
terminal-loop-halving-unknown = indéterminé
terminal-loop-against = { $line } : { $total } { $unit } en tout, { $limit } { $unit } permis
terminal-line-pass = conforme
terminal-line-fail = non conforme
label-voltage = tension
label-current = courant
label-power = puissance
label-capacitance = capacité
label-inductance = inductance
label-level = niveau
label-halving = division par 2
label-longest-cable = câble maximal
label-loop-level = niveau boucle

## Lignes de la table des substances
terminal-table-note = Commodité seulement : la fiche de données de sécurité ou une valeur de laboratoire de la substance réelle prévaut.
terminal-gas = { $name } (gaz ou vapeur)
terminal-dust = { $name } (poussière)
terminal-sourced = { $value } ({ $source } ; { $known })
terminal-sourced-unit = { $value } { $unit } ({ $source } ; { $known })
terminal-no-gas-group = aucune source ne le nomme ; le donner soi-même
terminal-class-or-later = { $class } ou une suivante
terminal-by-volume = % en volume
terminal-melts = fond d'abord
terminal-surface-by-lower-ends = au plus { $celsius } °C selon les valeurs basses ci-dessus
terminal-organic = peut se déshydrater ou se carboniser
terminal-ignites = s'enflamme à { $celsius } °C ({ $known })
terminal-ignites-above = s'enflamme au-dessus de { $celsius } °C ({ $known })
terminal-ignites-between = s'enflamme à { $low } à { $high } °C ({ $known })
terminal-ignites-to-above = s'enflamme à { $low } à plus de { $high } °C ({ $known })
label-also-called = aussi appelé
label-gas-group = groupe de gaz
label-nec-group = groupe NEC
label-ignition = inflammation
label-class-needed = classe requise
label-flash-point = point d'éclair
label-lower-limit = LIE
label-upper-limit = LSE
label-remark = remarque
label-dust-group = gr. poussières
label-cloud = nuage
label-layer = couche de 5 mm
label-organic = organique
terminal-loop-device = appareil { $number }
terminal-loop-source = source
terminal-from-plate = De la plaque : { $part }
terminal-from-plate-photo = De la plaque : { $part }, { $photo }
terminal-not-used = non utilisé
terminal-not-used-because = non utilisé : { $doubt }
terminal-value-from = { $value } (ligne { $line } : « { $text } »)
