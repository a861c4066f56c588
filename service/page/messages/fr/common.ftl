common-language = Français
common-skip = Aller au contenu
common-offline = Pas de liaison avec le service
common-waiting =
    { $n ->
        [one] { $n } photo en attente
       *[other] { $n } photos en attente
    }
common-remove = Enlever
common-again = Réessayer
common-loading = Un instant
common-more = Plus

nav-view =
    .photo = Photo
    .review = À revoir
    .register = Registre
    .import = Importer
    .places = Lieux
    .learn = Marquage
    .loop = Boucle

session-heading = S'identifier
session-hint = Ce service connaît ses gens par leurs comptes. Les photos qui attendent ici partent une fois la personne identifiée.
session-name = Nom du compte
session-password = Mot de passe
session-enter = S'identifier
session-leave = Se retirer
session-ended = La session a pris fin. S'identifier à nouveau : rien de ce qui a été tapé ou photographié n'est perdu.
session-wrong = Le nom ou le mot de passe est faux.
session-slowed =
    { $n ->
        [one] Trop de mots de passe faux depuis ici. Réessayer dans { $n } seconde.
       *[other] Trop de mots de passe faux depuis ici. Réessayer dans { $n } secondes.
    }
session-role =
    .reader = lecteur
    .inspector = inspecteur
    .reviewer = réviseur
    .administrator = administrateur
session-needs = Il faut pour cela un compte avec le rôle { $role } ou plus. { $name } a le rôle { $has }.

problem-heading = Cela n'a pas marché
problem-network = Le service ne répond pas. Cet appareil est-il encore sur son réseau ?
