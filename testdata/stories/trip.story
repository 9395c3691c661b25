# A plan with mates in one panel, then turned into an outing of those who are in.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram chidi dell
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 foot 6 slope wall number 911
[Fri 19:01] ana> /ledge add Long Step at 38.9211 -123.7302 lip 3.0 faces 200
[Fri 19:02] ana> /trip
crew: No trip is planned
[Fri 19:02] ana> /trip Anvil sat
crew: from when to when?
[Fri 19:03] ana> /trip Anvil sat 8am til 11am
crew: Sat 14 Mar, Anvil 08:00–11:00 | no plan B | In: Ana · Maybe: – · Can't: – | nobody brings throw line, float, first aid; no plan B
[Fri 19:04] bram> /in car 2
crew: In: Ana, Bram (car, 2 seats)
[Fri 19:05] chidi taps Maybe
crew: Maybe: Chidi
[Fri 19:05] chidi taps Maybe
toast: stands already
crew: nothing
[Fri 19:06] dell> /bring throw line
crew: first say you are in
[Fri 19:06] ana taps I bring throw line
crew: throw line: Ana
[Fri 19:07] bram> /bring throw line
crew: Somebody else brings that
[Fri 19:07] bram> /bring float
[Fri 19:08] bram> /bring first aid
crew: first aid: Bram
[Fri 19:09] ana> /planb Long Step
crew: plan B Long Step | Ready but for the sea: likely washed
# Whoever drops out opens what they were to bring.
[Fri 19:10] bram> /cant
crew: Not ready: nobody brings float, first aid
[Fri 19:11] bram> /in
[Fri 19:11] bram> /bring float
[Fri 19:11] bram> /bring first aid
crew: Ready but for the sea
[Fri 19:12] ana taps We're going out
toast: Too early
[Sat 07:45] chidi taps We're going out
toast: first say you are in
[Sat 07:50] ana taps We're going out
crew: Out: Ana and Bram, Anvil. Off the rocks by 11:00
[Sat 10:00] ana> /off all
crew: Ana and Bram: off Anvil, 10:00
# Anyone may call a plan off, without a reason.
[Sat 12:00] ana> /trip Anvil sun 8am til 11am plan b home
crew: plan B home
[Sat 12:01] dell taps Call it off
crew: Sun 15 Mar, Anvil: called off. No reason needed
crew: Called off.
[Sat 12:02] chidi> /in
crew: No trip is planned
