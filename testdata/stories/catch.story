# Catches in one line, counted against the rules the crew wrote down.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270
[Fri 19:01] ana> /settings area us-ca
crew: US-CA
[Fri 19:02] ana> /catch 2 kelp greenling 31 28 kept 1
crew: Noted: Ana, 2 | 31 cm and 28 cm, kept 1, let go 1 | I hold no rule
[Fri 19:03] ana> /undo
crew: Taken back
[Fri 19:03] ana> /rule kelp greenling min 30 bag 2
crew: When did you compare
[Fri 19:03] ana> /rule kelp greenling min 30 bag 2 source Example Coast leaflet checked today
crew: min 30 cm, 2 a person a day (Example Coast leaflet, checked Fri 13 Mar)
[Fri 19:04] ana> /catch 2 kelp greenling 31 28 kept 1
crew: kept 1, let go 1 | Allowed by the rules I hold | Ana: 1 of 2 today
[Fri 19:05] ana> /catch kelp greenling 29.8 kept
crew: 29.8 cm against a 30 cm minimum: measure again
[Fri 19:05] ana taps Undo
crew: Taken back
[Fri 19:06] ana> /catch kelp greenling 35
crew: Kept or let go?
[Fri 19:07] bram taps Kept
toast: over
[Fri 19:07] ana taps Kept
crew: the bag is full. Stop keeping these
[Fri 19:08] ana> /catch kelp greenling 36 kept
crew: Not allowed: Ana is 1 over the bag of 2
[Fri 19:09] ana taps Undo
[Fri 19:10] ana> /catch bram kelp greenling 41 kept
crew: Noted: Bram | Allowed by the rules I hold | Bram: 1 of 2 today
[Fri 19:11] ana> /catch
crew: Ana: | kept 2, let go 1
