
## Pourquoi une personne doit regarder
field-protections = le mode de protection
field-group = le groupe
field-temperature = la température
field-epl = l'EPL
field-category = la catégorie
review-field-on-line = { $field } à la ligne { $line }
review-no-marking = Aucun marquage de protection contre les explosions n'a été lu. Cela ne montre pas qu'il n'y en a pas.
review-hard-to-read = Difficile à lire : { $field }. Comparer avec la plaque, caractère par caractère.
review-not-surely = Lecture peu sûre pour { $field } : « { $value } ».
review-rivals = Lecture peu sûre pour { $field } : « { $value } » ; ce peut être { $others }.
review-not-read = non lu
review-repairs = Le marquage { $marking } a demandé { $repairs } corrections de forme : trop pour s'y fier.
review-ambient = La plage ambiante à la ligne { $line } est difficile à lire : signe et chiffres décident.
review-not-placed = « { $text } » à la ligne { $line } n'a pas été attribué et se lit mal : ce peut être un numéro ou une plage qui compte.
review-no-marking-on-photo = aucun marquage de protection contre les explosions n'a été lu sur la photo ; regarder la plaque elle-même, ou prendre une photo plus nette que le marquage remplit
review-no-marking-in-text = le texte ne contient aucun marquage de protection contre les explosions
review-exhausted = Plus de caractères sont douteux qu'on n'a pu en examiner : photographier la plaque seule, de plus près.
review-piece = « { $text } » à la ligne { $line } est un élément de marquage, mais n'appartient à aucun marquage : ce qui va avec n'a pas été lu.
review-other-limit = « { $text } » à la ligne { $line } est à côté de la plage ambiante : ce peut en être l'autre limite.
review-conditions-beside = Des conditions d'utilisation (X) peuvent figurer à côté.
review-part-of-line = Une partie de la ligne { $line } est illisible : ce qui s'y trouve peut appartenir au marquage.
review-no-category-line = Le marquage { $marking } n'a pas de ligne de catégorie alors qu'un autre en a une : regarder s'il y en a une à côté.
review-certificate-number = Le numéro de certificat « { $number } » à la ligne { $line } n'est pas lu avec certitude ; ce peut être { $others }.
review-serial-number = Le numéro de série « { $number } » à la ligne { $line } n'est pas lu avec certitude ; ce peut être { $others }.
review-body-number = Le numéro « { $number } » à côté de la marque de conformité à la ligne { $line } n'est pas lu avec certitude ; ce peut être { $others }.
