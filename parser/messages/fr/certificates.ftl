
## Ce qui est comparé ; se trouve au début d'une phrase et derrière deux points
compare-type = mode de protection
compare-level = niveau de protection
compare-group = groupe
compare-gas = gaz
compare-temperature = température
compare-dust-temperature = température de surface pour les poussières
compare-category = catégorie
compare-place = classe, division ou zone
compare-ambient = température ambiante
compare-kind = type d'appareil
compare-suffix = X ou U

## Ce que porte la plaque ou le certificat
compare-none = rien
compare-every-gas = tout gaz
compare-gas-only = { $gas } seulement
compare-range = { $low } °C à { $high } °C
compare-range-not-given = { $range } (rien n'est indiqué)
compare-kind-not-read = rien qui ait été lu
compare-no-suffix = ni X ni U

## La plaque face à la liste des certificats
certificate-no-number = aucun numéro de certificat n'a été lu, la plaque n'a donc pas pu être comparée à la liste des certificats
certificate-printed-too = { $number } est imprimé aussi et n'est pas dans la liste des certificats
certificate-not-listed = { $number } n'est pas dans la liste des certificats : la plaque n'a été comparée à aucun certificat
certificate-near = { $number } n'est pas dans la liste des certificats, mais presque : { $others }
certificate-near-one = { $number } ({ $have } sur la plaque, { $listed } dans la liste)
certificate-nothing = rien
certificate-other-issues = la plaque nomme l'édition { $issue } de { $number }, la liste n'a que l'édition { $listed }
certificate-no-marking = la liste ne donne pas de marquage pour { $entry } : le marquage n'y a pas été comparé
certificate-fails-here = ce que certifie { $entry } ne convient pas à l'emplacement : { $reason }
certificate-later-issue = la plaque nomme l'édition { $issue }, la liste a une édition plus récente de { $number }
certificate-agrees = la plaque concorde avec { $entry }
certificate-agrees-beside = la plaque concorde avec { $entry } ; la liste contient aussi { $others }, comparer donc le numéro chiffre par chiffre
certificate-other-listed = { $number } n'est pas lu avec certitude : ce peut être { $others }, qui figure aussi dans la liste des certificats
certificate-not-surely-read = { $number } n'est pas lu avec certitude ({ $percent } % pour un autre numéro, par exemple { $others }) : la comparaison avec la liste des certificats ne décide rien
certificate-claims-other = tant que ce n'est pas expliqué, c'est le mauvais appareil, une mauvaise plaque ou un appareil modifié
certificate-claims-less = la plaque n'annonce pas plus que ce qui est certifié, mais la différence est à expliquer
certificate-difference = { $what } : la plaque porte { $plate }, { $entry } porte { $certificate } ; { $claim }
certificate-x-unquoted = { $entry } porte un X, et la liste ne cite pas ses conditions
certificate-condition = condition { $index } sur { $count } de { $entry } : « { $condition } »
certificate-other-atmosphere = « { $marking } » vise une atmosphère dont { $entries } ne parle pas
next-find-certificate = Chercher le certificat ou la déclaration de l'appareil et y comparer la plaque.
next-get-certificate = Se procurer le certificat { $number } et y comparer la plaque.
next-compare-digits = Comparer le numéro de certificat à la plaque, chiffre par chiffre ; si c'est { $number }, se procurer ce certificat.
next-get-issue = Se procurer l'édition { $issue } de { $number } et y comparer la plaque.
next-compare-marking = Comparer le marquage au certificat { $number }.
next-later-issue = Voir ce que l'édition plus récente a changé et si cela concerne cet appareil.
next-compare-with-certificate = Comparer la plaque au certificat { $number } : { $what }.
next-read-conditions = Lire les conditions spécifiques d'utilisation du certificat { $number }.
next-meet-condition = S'assurer que ceci est respecté : « { $condition } »
next-find-other-certificate = Chercher le certificat sur lequel repose ce marquage.
