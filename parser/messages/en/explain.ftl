
## The mark in front
explain-ex = explosion protected to the IEC or EN standards
explain-eex = explosion protected to the old European standards (EN 50014 family, to about 2006); today the mark is Ex
explain-aex = explosion protected to the American zone standards

## Types of protection
explain-type = { $name } ({ $standard })
explain-type-how = { $named }: { $how }
explain-worth = by itself worth EPL { $epl }
explain-worth-unknown = what it is worth is known only from the certificate
explain-type-today = an older way of writing, today { $today }
explain-circuit = in square brackets, associated apparatus: a circuit with { $named } leads out of the item and may go to { $zones }, EPL { $epl }; the item itself is not allowed there by this
explain-circuit-no-level = in square brackets, associated apparatus: a circuit with { $named } leads out of the item; how far it may go is known only from the certificate, and the item itself is not allowed there by this
explain-american-circuit = associated apparatus: a circuit with { $named } leads out of the item and may go to the class and division; the item itself is not allowed there by this
explain-circuit-group = the circuit is for group { $group }
explain-combined = two independent types joined to reach one level more; the certificate says how
how-flameproof = an explosion inside does not ignite what is outside
how-increased-safety = built so that no spark and no hot spot arises
how-intrinsic-safety = so little energy that no spark and no hot spot can ignite
how-encapsulation = what sparks or gets hot is cast in compound
how-non-sparking = no spark and no hot spot in normal operation
how-sealed-or-enclosed-break = contacts that spark are closed in so that they cannot ignite
how-restricted-breathing = so tight that gas passing by hardly gets in
how-energy-limited = too little energy to ignite in normal operation
how-pressurization = clean gas under overpressure keeps the atmosphere out; it must be purged and watched
how-ventilated-room = ventilation thins out what is released inside
how-liquid-immersion = what sparks or gets hot lies in a liquid
how-powder-filling = what sparks or gets hot lies in fine grains that smother a flame
how-optical = speaks of the light beam alone; the housing needs a type of its own
how-dust-enclosure = the enclosure keeps dust out and its surface stays cool enough
how-special = other means, described in the certificate
how-non-electrical = ignition sources of moving parts are avoided, watched or immersed (types c, b, k)
how-nonincendive = in normal operation nothing in it can ignite
how-n = for normal operation only; a further letter would say how

## Group and category line
explain-line-mines = equipment group I: for mines (2014/34/EU or its British counterpart)
explain-line-surface = equipment group II: for places other than mines (2014/34/EU or its British counterpart)
explain-category-a = category { $category }: very high protection, safe even with a rare fault or two faults at once; for { $zones }
explain-category-b = category { $category }: high protection, safe even with the faults that must be expected; for { $zones }
explain-category-c = category { $category }: normal protection, safe in normal operation; for { $zones }
explain-category-boundary = stands in a wall between two areas, one category each side
explain-category-circuit = in round brackets: the item is not of category { $category }, only the circuits that lead out of it reach it
explain-letters = for { $atmospheres }
explain-letter-gas = gas, vapour or mist
explain-letter-dust = dust
explain-letter-firedamp = firedamp

## North America
explain-class-one = flammable gases and vapours (North American codes)
explain-class-two = combustible dusts (North American codes)
explain-class-three = ignitable fibres and flyings (North American codes)
explain-no-division = no division
explain-no-division-meaning = without a division it is good for both Division 1 and 2
explain-division-one = hazard present in normal operation; also good for Division 2; nearest to zones 0 and 1
explain-division-two = hazard present in abnormal operation only; not for Division 1; nearest to zone 2
explain-division-unknown = no such division
explain-american-zone = zone as the North American zone system counts it

## Groups
explain-group-i = group I: mines susceptible to firedamp
explain-group-ii = gas, without a letter: complete for some types only (e, m, nA, nR, o, p, q); others need IIA, IIB or IIC
explain-group-iia = gas group: gases like propane; not those of IIB or IIC
explain-group-iib = gas group: gases like ethylene, and all of IIA; not those of IIC
explain-group-iib-h2 = gas group: all of IIB and hydrogen; not acetylene or carbon disulphide
explain-group-iic = gas group: every gas, hydrogen and acetylene too; covers IIB and IIA
explain-group-iii = dust, without a letter: which dusts it suits is not said
explain-group-iiia = dust group: combustible flyings only
explain-group-iiib = dust group: non-conductive dust, and flyings
explain-group-iiic = dust group: every dust, conductive ones too; covers IIIB and IIIA
explain-group-letters = groups of the North American codes: { $letters }; each letter counts for itself
explain-letter-a = A acetylene
explain-letter-b = B hydrogen
explain-letter-c = C ethylene
explain-letter-d = D propane
explain-letter-e = E metal dust
explain-letter-f = F coal and carbon dust
explain-letter-g = G grain, flour and plastic dust
explain-second-group = a second group beside the first: { $meaning }
explain-unknown-group = no group that exists: look at it on the plate
explain-only-gas = only for { $gas }, whatever the group

## Temperature
explain-class = temperature class: no surface gets hotter than { $limit } °C; for gases that ignite above that (T1, 450 °C, is the hottest class, T6, 85 °C, the coolest)
explain-range = between { $first } ({ $first_c } °C) and { $last } ({ $last_c } °C), by ambient, process or model: the certificate says which holds
explain-max-surface = no surface gets hotter than { $limit } °C; for gases that ignite above that
explain-by-ambient = the class depends on the ambient as printed
explain-unknown-class = no class that exists: look at it on the plate
explain-class-celsius = a surface temperature beside the class
explain-dust = for dust: no surface gets hotter than { $limit } °C; clouds must ignite at 1.5 times that or more, layers 75 K above it
explain-dust-layer = for dust: no surface gets hotter than { $limit } °C under a dust layer of { $depth } mm

## Level and letters behind
explain-epl-a = equipment protection level (EPL), very high: for { $zones }
explain-epl-b = equipment protection level (EPL), high: for { $zones }
explain-epl-c = equipment protection level (EPL), enhanced: for { $zones } only
explain-boundary = stands in a wall between two areas: the stronger level faces the stricter one
explain-x = specific conditions of use: they stand in the certificate and must be met
explain-u = Ex component: certified as a part only, not for use on its own
explain-illegible = could not be read: look at it on the plate

## What is missing
explain-no-epl = no EPL
explain-no-epl-old = none printed, as usual before about 2007; type and category together are worth { $levels }
explain-no-epl-meaning = none printed, though markings of today carry one; type and category together are worth { $levels }
explain-no-class = no class
explain-no-class-meaning = without a temperature class or a temperature nobody can tell for which gases the surfaces are cool enough
explain-no-celsius = no °C
explain-no-celsius-meaning = without a surface temperature nobody can tell for which dusts the surfaces are cool enough
explain-no-group = no group
explain-no-group-meaning = without a group nobody can tell for which gases or dusts it is made
explain-no-line = no line
explain-no-line-meaning = no group and category line: in the European Union and Great Britain it must stand beside this; { $line } would be the same level

## The rest of the plate
explain-mark-body = conformity mark with the number of the body that watches over production
explain-mark = conformity mark, no body named
explain-certificate = certificate ({ $scheme })
explain-certificate-year = certificate ({ $scheme }), first issued in { $year }
explain-x-of-certificate = X: specific conditions of use stand in it and must be met
explain-u-of-certificate = U: for an Ex component, a part that is not for use on its own
explain-ambient = ambient: may stand where the surroundings are between { $low } °C and { $high } °C
explain-no-ambient = no ambient
explain-no-ambient-meaning = no ambient temperature was read: then the range of the standard holds, −20 °C to +40 °C
explain-ip = enclosure (IEC 60529): { $solids }; { $water }
explain-ip-dust-tight = dust-tight
explain-ip-dust-protected = dust-protected
explain-ip-open = open to the touch
explain-ip-objects = keeps out larger objects only
explain-ip-no-solids = solids not stated
explain-ip-no-protection = no protection from water
explain-ip-drips = dripping water
explain-ip-spray = spray
explain-ip-splashes = splashes
explain-ip-jets = jets of water
explain-ip-strong-jets = strong jets of water
explain-ip-short-immersion = short immersion
explain-ip-long-immersion = long immersion
explain-ip-hot-jets = hot high-pressure jets
explain-ip-no-water = water not stated
explain-type-successor = of an older generation, its place is taken today by { $today }
explain-epl-gb = equipment protection level (EPL), high: for { $zones }, not for zone 0
explain-epl-db = equipment protection level (EPL), high: for { $zones }, not for zone 20
