# Rates: one and two trips are only listed, from three on there is a range, two ledges are drawn towards each other; what is left out is said.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 6.1 faces 270
[Fri 19:01] ana> /ledge add Long Step at 38.9612 -123.7431 lip 5 faces 270
[Fri 19:01] ana> /settings area us-ca
[Fri 19:02] ana> /tally compare tide
crew: compares trips on a making tide and on an ebbing tide from now on, and nothing else
[Sat 07:00] ana> /out Anvil back in 4 hours
[Sat 10:00] ana> /catch 3 kelp greenling 2 rods 3h
[Sat 10:05] ana> /off
[Sun 07:00] ana> /out Anvil back in 4 hours
[Sun 10:00] ana> /catch blank 2 rods 3 h
[Sun 10:05] ana> /off
[Sun 10:06] ana> /tally Anvil
crew: Anvil: 2 trips noted. | no fish (Ana)
[Mon 07:00] ana> /out Anvil back in 4 hours
[Mon 10:00] ana> /catch 1 kelp greenling 33 1 rod 2h
[Mon 10:05] ana> /off
[Mon 10:06] ana> /tally Anvil
crew: 3 trips, 4 fish in 14 rod-hours: about 0.29 an hour with one rod, could be
[Tue 07:00] ana> /out Anvil back in 4 hours
[Tue 10:00] ana> /catch 5 kelp greenling 2 rods 3h
[Tue 10:05] ana> /off
[Wed 07:00] ana> /out Anvil back in 4 hours
[Wed 10:00] ana> /catch blank 2 rods 3 h
[Wed 10:05] ana> /off
[Thu 07:00] ana> /out Long Step back in 4 hours
[Thu 10:00] ana> /catch 2 kelp greenling 2 rods 3h
[Thu 10:05] ana> /off
[Fri 07:00] ana> /out Long Step back in 4 hours
[Fri 10:00] ana> /catch blank 2 rods 3 h
[Fri 10:05] ana> /off
[Sat 07:00] ana> /out Long Step back in 4 hours
[Sat 10:00] ana> /catch 1 kelp greenling 33 1 rod 2h
[Sat 10:05] ana> /off
[Sat 11:00] bram> /out Anvil back in 2 hours
[Sat 12:00] bram> /off
[Sat 12:01] ana> /tally Anvil
crew: 5 trips noted. | 5 trips, 9 fish in 26 rod-hours: about 0.34 | drawn towards the crew's 0.30; how far is a choice | Not in the rate: 1 outing about which nobody said what was caught
[Sat 12:02] ana> /tally crew
crew: 8 trips, 12 fish | No fish on 3 trips. | 8 trips, 12 fish in 40 rod-hours: about 0.30 an hour with one rod, could be | Too few trips to compare
[Sat 12:03] ana> /tally compare light
crew: in the light and in the dark | trips count from now on only
[Sat 12:04] ana> /tally crew
crew: Too few trips to compare: 0 in the light, 0 in the dark
