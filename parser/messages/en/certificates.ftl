
## What is compared; stands at the beginning of a sentence and behind "the"
compare-type = type of protection
compare-level = level of protection
compare-group = group
compare-gas = gas
compare-temperature = temperature
compare-dust-temperature = dust temperature
compare-category = category
compare-place = class, division or zone
compare-ambient = ambient range
compare-kind = equipment type
compare-suffix = X or U

## What a plate or a certificate has there
compare-none = none
compare-every-gas = every gas
compare-gas-only = { $gas } only
compare-range = { $low } °C to { $high } °C
compare-range-not-given = { $range } (none is given)
compare-kind-not-read = nothing that was read
compare-no-suffix = neither X nor U

## The plate against the list of certificates
certificate-no-number = no certificate number was read, so the plate could not be held against the list of certificates
certificate-printed-too = { $number } is printed too and is not in the list of certificates
certificate-not-listed = { $number } is not in the list of certificates: the plate was held against no certificate
certificate-near = { $number } is not in the list of certificates, but nearly: { $others }
certificate-near-one = { $number } ({ $have } on the plate, { $listed } in the list)
certificate-nothing = nothing
certificate-other-issues = the plate names Issue { $issue } of { $number }, the list has Issue { $listed } only
certificate-no-marking = the list gives no marking for { $entry }: the marking was not held against it
certificate-fails-here = what { $entry } certifies does not suit the place: { $reason }
certificate-later-issue = the plate names Issue { $issue }, and the list has a later issue of { $number }
certificate-agrees = the plate agrees with { $entry }
certificate-agrees-beside = the plate agrees with { $entry }; the list also has { $others }, so compare the number digit by digit
certificate-other-listed = { $number } is not surely read: it may be { $others }, which stands in the list of certificates too
certificate-not-surely-read = { $number } is not surely read ({ $percent } % for another number, such as { $others }): the comparison with the list of certificates decides nothing
certificate-claims-other = it is the wrong item, a wrong plate or a changed item until that is explained
certificate-claims-less = the plate claims no more than was certified, but the difference has to be explained
certificate-difference = { $what }: the plate has { $plate }, { $entry } has { $certificate }; { $claim }
certificate-x-unquoted = { $entry } carries X, and the list does not quote its conditions
certificate-condition = condition { $index } of { $count } of { $entry }: "{ $condition }"
certificate-other-atmosphere = '{ $marking }' is for an atmosphere that { $entries } does not speak of
next-find-certificate = Find the certificate or declaration of the item and compare the plate with it.
next-get-certificate = Get certificate { $number } and compare the plate with it.
next-compare-digits = Compare the certificate number with the plate, digit by digit; if it is { $number }, get that certificate.
next-get-issue = Get Issue { $issue } of { $number } and compare the plate with it.
next-compare-marking = Compare the marking with certificate { $number }.
next-later-issue = See what the later issue changed and whether it concerns this item.
next-compare-with-certificate = Compare the { $what } on the plate with certificate { $number }.
next-read-conditions = Read the specific conditions of use in certificate { $number }.
next-meet-condition = See that this is met: "{ $condition }"
next-find-other-certificate = Find the certificate that this marking rests on.
