
## Checks of a loop
loop-source-missing = { $quantity } of the source is missing.
loop-above = { $output } { $value } is above { $input } { $limit } of device { $device }.
loop-device-missing = { $quantity } of device { $device } is missing.
loop-no-device = No device is given.
loop-cable-default = { $unit } of the cable is not given: { $value } taken for an ordinary cable (checked).
loop-lumped-missing = { $quantity } of a device is missing; only what is printed as negligible counts as 0.
loop-halved = Both lumped values reach 1 % of Co and Lo: the limits are halved.
loop-by-ratio = Inductance passes by L/R of the cable against Lo/Ro.
loop-no-group = The group of the Co and Lo column is missing.
loop-group = Co and Lo are of group { $have }, the place needs { $need }.
loop-level = The loop is i{ $have }, the place needs i{ $need }.
loop-no-level = A level (ia, ib, ic) of the loop is missing.
loop-not-simple = Several sources or electronic limiting: this method does not cover it.

## Values from plates
loop-value = { $value } { $unit }
loop-part-source = The source
loop-part-device = Device { $device }
loop-part-doubt = { $part }: { $doubt }
loop-plate-curved = Po is not Uo · Io / 4: the source is limited by electronics, which this method does not cover.
loop-plate-linear = A plate does not say whether the source is linear (limited by a resistor): see its certificate.
loop-plate-not-read = { $quantity } was not read on the plate.
loop-plate-may-be = { $quantity } may be { $values }.
loop-plate-may-be-else = { $quantity } may be something else than { $value }.
loop-plate-not-safe = { $quantity } is not used: no level of an intrinsically safe circuit was read.
loop-plate-hard = { $quantity } is hard to read ({ $value }).
loop-plate-several = { $quantity } is printed for several circuits ({ $values }); give the loop as a file.
loop-plate-levels-differ = The level differs between the readings.
loop-plate-groups-differ = The group differs between the readings.
loop-plate-no-output = No intrinsically safe output such as [Ex ia Ga] was read on the plate.
loop-plate-no-safety = No intrinsic safety such as Ex ia was read on the plate.
loop-plate-no-group = The group of the column of Co and Lo was not read on the plate.
