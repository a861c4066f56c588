
## Cautions
caution-decision = Decision support only. The certificate with its conditions, the standards, the local code, the authority and a competent person decide.
caution-reading = The result depends on the reading. Compare every character with the plate before use.
caution-place = The result depends on the location data entered (zone, group, ignition temperature, layer, ambient). Wrong data give a wrong answer.
caution-installation = A suitable plate says nothing about installation, damage, glands, modification, settings, loop or earthing.
caution-tables = Values such as ignition temperatures come from tables; process mixtures, pressure, oxygen enrichment and temperature outside normal atmospheric conditions are not covered.
caution-schemes = Marking to one scheme is not approval under another.

## Notes
note-restricted-breathing = nR: its seal must be checked after any opening, and where a test port exists a pressure test is due at intervals of six months or more (checked).
note-pressurization = p: needs its purge system and interlock.
note-loop = i: the loop must be verified separately; a loop counts as its weakest ia, ib or ic.
note-circuit = Only the intrinsically safe circuit in brackets reaches the level in the brackets.
note-low-ip = The IP code is below IP5X; the certificate may place the item in another enclosure.
note-process-temperature = h: the class of the range usually follows the process temperature, not the ambient.
note-no-ambient-printed = No ambient range is printed: { $low } °C to { $high } °C is taken (IEC 60079-0:2017 5.1.1; checked).
note-no-ambient-given = The ambient range of the place is not given: { $low } °C to { $high } °C is taken.
note-non-hazardous = The place is non-hazardous: the gas or dust given was not used.
note-dust-in-mine = In a mine the dust given was not used: coal dust is covered by group I.
note-not-in-table = '{ $name }' is not in the table: only the values given stand for it.
note-of-table = { $name }: { $note }.
note-other-marking = '{ $marking }' alone would be { $outcome } here; the best marking of an atmosphere counts.
note-same-outcome = { $doubt } Every plausible reading comes to the same outcome here.

## Doubtful readings
reading-change = '{ $text }' for '{ $best }' in line { $line }
reading-worse = if the plate has { $changes } ({ $percent } %): { $reason }
next-compare-doubtful = Compare the doubtful characters with the plate.
next-place-asks = The place asks for: { $wanted }.
next-read-field = Read the field from the plate by hand.
by-hand-d = d: flamepaths, bolts, threads, cable glands and obstacles near the joints must be looked at (IEC 60079-17; checked in part).
by-hand-e = e, nA: cable glands, terminals and seals must be looked at, and for a motor the overload protection (IEC 60079-17; checked in part).
by-hand-m = m: the fuse and the supply that the certificate asks for must be looked at (memory).
by-hand-t = t: gaskets, cable glands and how deep the dust lies must be looked at (IEC 60079-17; checked in part).
by-hand-o = o, k: kind and level of the liquid must be looked at (memory).
by-hand-op = op: fibre, connectors and interlock must be looked at (memory).
by-hand-h = h, c: bearings, clearances, lubrication and temperatures in service must be looked at (memory).
