
## Mises en garde
caution-decision = Aide à la décision seulement. Décident : le certificat avec ses conditions, les normes, la réglementation locale, l'autorité et une personne compétente.
caution-reading = Le résultat dépend de la lecture. Comparer chaque caractère avec la plaque avant l'emploi.
caution-place = Le résultat dépend des données saisies pour l'emplacement (zone, groupe, température d'inflammation, couche, température ambiante). Des données fausses donnent une réponse fausse.
caution-installation = Une plaque adaptée ne dit rien de l'installation, des dommages, des entrées de câble, des modifications, des réglages, de la boucle ni de la mise à la terre.
caution-tables = Des valeurs comme les températures d'inflammation viennent de tables ; mélanges de procédé, pression, enrichissement en oxygène et températures hors conditions atmosphériques normales ne sont pas couverts.
caution-schemes = Un marquage selon un système n'est pas une homologation selon un autre.

## Remarques
note-restricted-breathing = nR : le joint est à vérifier après chaque ouverture ; s'il y a une prise d'essai, un essai de pression est dû à des intervalles de six mois ou plus (vérifié).
note-pressurization = p : a besoin de son système de balayage et de verrouillage.
note-loop = i : la boucle est à vérifier à part ; elle compte comme son ia, ib ou ic le plus faible.
note-circuit = Seul le circuit de sécurité intrinsèque entre crochets atteint le niveau entre crochets.
note-low-ip = Le code IP est inférieur à IP5X ; le certificat peut imposer une autre enveloppe.
note-process-temperature = h : la classe de la plage suit en général la température du procédé, non l'ambiance.
note-no-ambient-printed = Aucune plage ambiante indiquée : { $low } °C à { $high } °C sont pris (IEC 60079-0:2017 5.1.1 ; vérifié).
note-no-ambient-given = La plage ambiante de l'emplacement n'est pas donnée : { $low } °C à { $high } °C sont pris.
note-non-hazardous = L'emplacement est non dangereux : le gaz ou la poussière donnés n'ont pas servi.
note-dust-in-mine = Dans une mine, la poussière donnée n'a pas servi : le groupe I couvre la poussière de charbon.
note-not-in-table = « { $name } » n'est pas dans la table : seules les valeurs données comptent.
note-of-table = { $name } : { $note }.
note-other-marking = « { $marking } » seul serait ici { $outcome } ; pour chaque atmosphère compte le meilleur marquage.
note-same-outcome = { $doubt } Chaque lecture plausible mène ici au même résultat.

## Lectures douteuses
reading-change = « { $text } » au lieu de « { $best } » à la ligne { $line }
reading-worse = si la plaque porte { $changes } ({ $percent } %) : { $reason }
next-compare-doubtful = Comparer les caractères douteux avec la plaque.
next-place-asks = L'emplacement demande : { $wanted }.
next-read-field = Lire soi-même le champ sur la plaque.
by-hand-d = d : joints, vis, filetages, entrées de câble et obstacles près des joints sont à examiner (IEC 60079-17 ; vérifié en partie).
by-hand-e = e, nA : entrées de câble, bornes et joints d'étanchéité sont à examiner, et pour un moteur la protection contre les surcharges (IEC 60079-17 ; vérifié en partie).
by-hand-m = m : le fusible et l'alimentation demandés par le certificat sont à examiner (de mémoire).
by-hand-t = t : joints d'étanchéité, entrées de câble et épaisseur de poussière sont à examiner (IEC 60079-17 ; vérifié en partie).
by-hand-o = o, k : nature et niveau du liquide sont à examiner (de mémoire).
by-hand-op = op : fibre, connecteurs et verrouillage sont à examiner (de mémoire).
by-hand-h = h, c : paliers, jeux, lubrification et températures en service sont à examiner (de mémoire).
