# What a crew sets: who edits, whom to call, when to make no sound. Safety asks none of it.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram
[Fri 19:00] bot joins
[Fri 19:00] ana administers
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 6.1 faces 270
[Fri 19:02] bram> /settings
crew: Emergency number where a card has none: not set | Quiet hours: none
[Fri 19:03] bram taps Admins edit ledges
toast: only the group's admins
[Fri 19:04] ana taps Admins edit ledges
crew: Settings of this crew
[Fri 19:05] bram> /ledge limits Anvil swell 3
crew: only the group's admins change ledges
[Fri 19:06] bram> /ledge note Anvil a note is everybody's
crew: Kept with Anvil
[Fri 19:07] bram> /settings number 911, sign on the path
crew: only the group's admins
[Fri 19:08] ana> /settings number help
crew: I read no number in that
[Fri 19:09] ana> /settings number 911, sign on the path
crew: 911 (sign on the path; Ana, 13 Mar 2026). Check it locally.
[Fri 19:10] ana> /settings quiet 0-24
crew: From when to when am I quiet?
[Fri 19:11] ana> /settings quiet 8pm-6am
crew: Quiet hours: 20:00–06:00
[Fri 19:12] bram> /out Anvil back 8:45pm
crew: Out: Bram, alone, Anvil
[Fri 19:13] ana> /ledge Anvil
crew: Emergency number 911, the crew's own (sign on the path, 13 Mar 2026)
[Fri 21:15] wait
crew: At any sign of danger call 911 now
[Fri 21:16] bram> /fellin
crew: Call 911
[Fri 21:17] bram> /off
[Fri 21:18] ana> /settings number -
crew: not set
[Fri 21:19] ana> /settings edit all
[Fri 21:20] bram> /ledge limits Anvil swell 3
crew: swell 3.0 m
