common-language = English
common-skip = To the content
common-offline = No connection to the service
common-waiting =
    { $n ->
        [one] { $n } photo waiting
       *[other] { $n } photos waiting
    }
common-remove = Remove
common-again = Try again
common-loading = One moment
common-more = More

nav-view =
    .photo = Photo
    .review = Review
    .register = Register
    .import = Import
    .places = Places
    .learn = Marking
    .loop = Loop

session-heading = Sign in
session-hint = This service knows its people by their accounts. Photos that wait here are sent once you are signed in.
session-name = Name of the account
session-password = Password
session-enter = Sign in
session-leave = Sign out
session-ended = The session has ended. Sign in again: nothing that was typed or photographed is lost.
session-wrong = Name or password is wrong.
session-slowed =
    { $n ->
        [one] Too many wrong passwords from here. Try again in { $n } second.
       *[other] Too many wrong passwords from here. Try again in { $n } seconds.
    }
session-role =
    .reader = reader
    .inspector = inspector
    .reviewer = reviewer
    .administrator = administrator
session-needs = For this an account needs the role { $role } or more. { $name } has the role { $has }.

problem-heading = That did not work
problem-network = The service does not answer. Is this device still on its network?
