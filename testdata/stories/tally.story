# What was caught over time: for oneself, the crew, a ledge; the picture; what is not said of few trips; files.
start 2026-03-13 05:00 America/Los_Angeles
people ana bram
[Fri 05:00] bot joins
[Fri 05:00] bram starts
[Fri 05:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 6.1 faces 270
[Fri 05:01] ana> /settings area us-ca
[Fri 05:01] bram> /catch
[Fri 05:02] ana> /tally
crew: Nothing is noted of 2026 | /catch blank 2 rods 4h
[Fri 05:02] ana> /tally Anvil
crew: Nothing is noted on Anvil yet
[Fri 05:02] ana> /tally export
crew: nothing to export
[Fri 06:00] ana> /out Anvil with Bram back in 4 hours
[Fri 07:10] ana> /catch 2 kelp greenling 31 44 kept 1
[Fri 07:11] bram> /catch lingcod 70 let go
[Fri 07:12] ana> /catch 9 kelp greenling
[Fri 07:13] ana> /undo
[Fri 09:00] ana> /off all
[Fri 09:01] ana> /tally
crew: Ana, 2026: 1 trip, 2 fish | 2 kelp greenling: kept 1, let go 1. | Rod-hours are not known | Longest measured: kelp greenling 44 cm (Anvil, 13 Mar 2026) | no proof
[Fri 09:02] bram private> /tally
bram: Bram, 2026: 1 trip, 1 fish | lingcod 70 cm
[Fri 09:02] ana> /tally crew
crew: The crew, 2026: 1 trip, 3 fish | Not in the rate: 1 trip without rod-hours
[Fri 09:03] ana> /tally Anvil
crew: Anvil: 1 trip noted. | 13 Mar 2026: 2 kelp greenling, 1 lingcod (Ana and Bram); high water, dawn | Not in the rate
[Fri 09:04] ana> /tally compare moon
crew: I can't read “compare moon”
[Fri 09:04] ana> /tally counts on
crew: by name, no order of merit
[Fri 09:05] ana> /tally crew
crew: By name: Ana 2, Bram 1.
[Fri 09:06] ana> /tally counts off
[Fri 09:06] ana> /tally name on
crew: Exports carry your name
[Fri 09:07] ana> /tally export
crew: [file catches-2026-03-13.csv] 1 trip as a table
crew: [file catches-2026-03-13-dwca.zip] The same as a Darwin Core archive | No licence is chosen
[Fri 09:07] ana> /tally export
crew: Once a minute
[Fri 09:09] ana> /tally licence CC BY
crew: CC-BY
[Fri 09:09] bram private> /tally export mine
bram: catches-2026-03-13-dwca.zip | Licence: CC-BY
[Fri 09:10] ana> /tally season from July
crew: A season begins in Jul
[Fri 09:10] ana> /tally crew
crew: The crew, Jul 2025–Jun 2026: 1 trip
[Fri 09:11] ana> /tally crew 2024
crew: Nothing is noted of Jul 2024–Jun 2025
