
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
