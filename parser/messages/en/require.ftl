
## Where values come from
require-mixture = Gas and dust together: the mixture of both must be assessed (IEC 60079-14; memory).
require-risk-assessment = EPL { $epl } is that of the risk assessment, which must be documented.
require-ignition-given = ignition temperature { $celsius } °C as given
require-ignites = { $gas } ignites at { $tables }
require-group-of-gas = { $gas } is { $group } ({ $known }).
require-stricter-group = Group { $given } is given, but the table asks for { $table }, which is used.
require-temperature = Temperature: { $ignition }.
require-give-ignition = Give the ignition temperature of the gas (ignition_c).
require-give-ignition-in = Give the ignition temperature ({ $field }).
require-give-letter = Give the group letter of the place ({ $field }).
require-no-class = No temperature class stays below the ignition temperature: the surface temperature must be agreed in °C.
require-dust-group-table = The dust group is that of the table: have the dust measured.
require-dust-group-default = The dust group is not given: IIIC covers every dust.
require-dust-tables = Ignition temperatures are the lower ends of public tables: only a laboratory value of the actual dust counts.
require-thick-layer = A layer of { $depth } mm: give the surface temperature that it permits (max_surface_c).
require-dust-surface = Surface: at most 2/3 of the cloud's and 75 K below the 5 mm layer's ignition temperature (IEC 60079-14 5.6.3; checked).
require-organic = At most 165 °C for organic dust and fibres (NEC 500.8(D); checked).

## The purchase order
order-epl = EPL { $epl } ({ $category }) or better
order-group = group { $group } or better
order-group-mines = group I
order-class = temperature class { $class } or better
order-code = T code { $class } or better
order-letters = Group { $letters }
order-surface = surface at most { $celsius } °C
order-dust-ip = IP{ $digit }X or better for type t
order-ambient = ambient { $low } °C to { $high } °C
order-no-protection = no explosion protection asked for
order-papers = with certificate, declaration of conformity and instructions
