
## Outcome
terminal-named = { $name }: { $said }
terminal-suitable = SUITABLE for { $place }.
terminal-conditional = CONDITIONAL for { $place }: allowed only if the conditions below are met.
terminal-undecided = UNDECIDED for { $place }: not to be relied on before the points below are settled.
terminal-undecided-no-marking = UNDECIDED for { $place }: no marking was read.
terminal-unsuitable = UNSUITABLE for { $place }.
terminal-probability = Of the plausible readings, { $share } (by weight) give this outcome or a better one.
terminal-no-marking = NO MARKING was read.
terminal-not-judged = READ, NOT JUDGED: give a place for a verdict (--zone 1 --gas ethanol).
terminal-markings = Marking: { $markings }
terminal-review = A person must look before this is used: see "{ $heading }".

## The place in one line
terminal-zone = zone { $zone }
terminal-zones = zones { $zones }
terminal-mine-m1 = mine-M1
terminal-mine-m2 = mine-M2
terminal-non-hazardous = non-hazardous
terminal-group = group { $group }
terminal-ignition = ignition at { $celsius } °C
terminal-class = class { $class }
terminal-cloud = cloud ignition at { $celsius } °C
terminal-layer = layer ignition at { $celsius } °C
terminal-depth = layer of { $depth } mm
terminal-ambient = ambient { $low } to { $high } °C

## Headings
terminal-why = Why, worst first
terminal-to-do = To do: { $step }
terminal-hangs-on = What the outcome hangs on
terminal-deciding = line { $line }, characters { $first } to { $last }, read as "{ $text }":
terminal-quoted = "{ $text }"
terminal-reading = { $outcome }, probability { $probability }
terminal-by-hand = Check by hand
terminal-read-conditions = { $number }: read the specific conditions of use in the certificate and see that each is met.
terminal-read-component = { $number }: this is an Ex component; look for the certificate of the equipment that it is part of.
terminal-warning = The plate warns: "{ $warning }"
terminal-marking = Marking  { $marking }
terminal-marking-of = Marking { $number } of { $count }  { $marking }
terminal-repaired = "{ $from }" to "{ $to }": { $repair }
terminal-alternative = { $value } ({ $probability })
terminal-doubt = { $field } { $confidence }; may also be { $also }
terminal-also = Also on the plate
terminal-codes = Codes on the plate (text from outside, not followed)
terminal-identification-link = identification link (IEC 61406-1)
terminal-several-circuits = several circuits: { $names } printed more than once
terminal-contradictions = Does not fit together
terminal-photo = About the photo
terminal-unread = Read, but not understood
terminal-keep-in-mind = Keep in mind

## Labels of at most 14 columns
label-read-as = read as
label-repaired = repaired
label-today = today
label-serves = serves
label-confidence = confidence
label-doubt = doubt
label-note = note
label-review = review
label-critical = critical
label-enclosure = enclosure
label-circuit = circuit
label-ratings = ratings
label-maker = maker
label-type = type
label-serial = serial
label-year = year
label-code-qr = QR code
label-code-data-matrix = Data Matrix
label-line = line { $line }

## What a place asks for
terminal-order = Order: { $line }
terminal-missing = Missing before anything is ordered
terminal-for-gas = For gas
terminal-for-dust = For dust
terminal-for-mines = For mine
terminal-dust-ip = IP{ $digit }X for types that keep dust out
terminal-notes = Notes
label-category = category
label-group = group
label-class = class
label-surface = surface

## Loop
terminal-loop-pass = PASS: every line that could be checked holds.
terminal-loop-undecided = UNDECIDED: a value is missing or the method does not cover it.
terminal-loop-fail = FAIL: a limit is exceeded.
terminal-loop-lines = Lines
terminal-loop-no-group = not checked: place_group is not given
terminal-loop-no-level = not checked: place_level is not given
terminal-loop-halved = both limits are halved: Ci and Li both reach 1 %
terminal-loop-not-halved = none: Ci or Li stays below 1 %
terminal-loop-halving-unknown = cannot be told
terminal-loop-against = { $line }: { $total } { $unit } in all, { $limit } { $unit } allowed
terminal-line-pass = pass
terminal-line-fail = fail
label-voltage = voltage
label-current = current
label-power = power
label-capacitance = capacitance
label-inductance = inductance
label-level = level
label-halving = halving
label-longest-cable = longest cable
label-loop-level = loop level

## Rows of the substance table
terminal-table-note = Convenience only: the safety data sheet or a laboratory value of the actual substance wins.
terminal-gas = { $name } (gas or vapour)
terminal-dust = { $name } (dust)
terminal-sourced = { $value } ({ $source }; { $known })
terminal-sourced-unit = { $value } { $unit } ({ $source }; { $known })
terminal-no-gas-group = no source names it; give it yourself
terminal-class-or-later = { $class } or a later one
terminal-by-volume = % by volume
terminal-melts = melts first
terminal-surface-by-lower-ends = at most { $celsius } °C by the lower ends above
terminal-organic = may dehydrate or carbonise
terminal-ignites = ignites at { $celsius } °C ({ $known })
terminal-ignites-above = ignites at above { $celsius } °C ({ $known })
terminal-ignites-between = ignites at { $low } to { $high } °C ({ $known })
terminal-ignites-to-above = ignites at { $low } to above { $high } °C ({ $known })
label-also-called = also called
label-gas-group = gas group
label-nec-group = NEC group
label-ignition = ignition
label-class-needed = class needed
label-flash-point = flash point
label-lower-limit = lower limit
label-upper-limit = upper limit
label-remark = remark
label-dust-group = dust group
label-cloud = cloud
label-layer = layer of 5 mm
label-organic = organic
terminal-loop-device = device { $number }
terminal-loop-source = source
terminal-from-plate = From the plate of the { $part }
terminal-from-plate-photo = From the plate of the { $part }, { $photo }
terminal-not-used = not used
terminal-not-used-because = not used: { $doubt }
terminal-value-from = { $value } (line { $line }: "{ $text }")
