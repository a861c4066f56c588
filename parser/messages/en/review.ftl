
## Why a person must look
field-protections = type of protection
field-group = group
field-temperature = temperature
field-epl = EPL
field-category = category
review-field-on-line = { $field } on line { $line }
review-no-marking = No explosion-protection marking was read. That does not show that there is none.
review-hard-to-read = The { $field } is hard to read: compare it with the plate, character by character.
review-not-surely = The { $field } was read as "{ $value }", but not surely.
review-rivals = The { $field } was read as "{ $value }", but not surely; it may be { $others }.
review-not-read = not read
review-repairs = Marking { $marking } needed { $repairs } repairs of shape: too many to rely on.
review-ambient = The ambient range on line { $line } is hard to read: sign and figures decide.
review-not-placed = "{ $text }" on line { $line } was not placed and is hard to read: it may be a number or a range that matters.
review-no-marking-on-photo = no explosion-protection marking was read on the photo; look at the plate itself, or take a sharper photo that the marking fills
review-no-marking-in-text = the text holds no explosion-protection marking
review-exhausted = More characters are doubtful than could be looked into: take the plate alone, closer.
review-piece = "{ $text }" on line { $line } is a piece of a marking, but stands in none: what belongs to it was not read.
review-other-limit = "{ $text }" on line { $line } stands beside the ambient range: it may be its other limit.
review-conditions-beside = Conditions of use (X) may stand beside it.
review-part-of-line = A part of line { $line } cannot be read: what stands there may belong to the marking.
review-no-category-line = Marking { $marking } has no category line although another has: look whether one stands beside it.
review-certificate-number = The certificate number "{ $number }" on line { $line } is not surely read; it may be { $others }.
review-serial-number = The serial number "{ $number }" on line { $line } is not surely read; it may be { $others }.
review-body-number = The number "{ $number }" beside the conformity mark on line { $line } is not surely read; it may be { $others }.
