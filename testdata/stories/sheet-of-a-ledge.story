# What rescuers are read out of a ledge is given once by the crew, and stands on the sheet and in the call when somebody fell in.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram; ashore mo
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 number 911
[Fri 19:02] ana starts
[Fri 19:03] ana> /ledge access
crew: /ledge access Anvil = path from the cypress gate
[Fri 19:04] ana> /ledge access Nowhere = path
crew: I don't know a ledge called “Nowhere”
[Fri 19:05] ana> /ledge access Anvil = path from the cypress gate, 2 km
crew: Anvil, on the hand-over sheet: path from the cypress gate, 2 km
[Fri 19:06] ana> /ledge waysout Anvil = gully to the south
[Fri 19:07] ana> /ledge parking Anvil = cypress gate
[Fri 19:08] ana> /ledge ring Anvil = post at the gully
[Fri 19:09] ana> /ledge askfor Anvil = the coast guard
crew: the coast guard
[Fri 19:10] ana private> /me car grey van, AB 123
[Fri 19:11] ana private> /me wearing red lifejacket, yellow hood
ana: wearing red lifejacket, yellow hood
[Sat 07:00] ana> /out Anvil back 9am
[Sat 07:01] ana private> /plan
ana: ask for the coast guard | Wearing: red lifejacket, yellow hood | Car: grey van, AB 123. Parked: cypress gate | Way in: path from the cypress gate, 2 km. Ways out: gully to the south. Rescue ring: post at the gully
[Sat 07:30] bram> /fellin
crew: Call 911, ask for the coast guard | Anvil, path from the cypress gate, 2 km
[Sat 07:40] ana> /off
