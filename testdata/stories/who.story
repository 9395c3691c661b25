# Who is out, who is late, who is off already: names and ledges, and no places.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram chidi dell; ashore mo eve
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270
[Fri 19:02] ana> /ledge add Long Step at 38.9612 -123.7431 lip 5 faces 270
[Fri 19:03] ana starts
[Fri 19:03] ana private> /contact
[Fri 19:04] mo follows
[Fri 19:04] mo private taps Yes, I hold Ana's plans
[Fri 19:05] dell> /in
[Fri 19:05] bram> /in
[Sat 06:50] bram> /who
crew: Nobody is out, as far as I was told.
[Sat 07:00] ana> /out Anvil back 10am
[Sat 07:30] chidi> /out Long Step with Dell back noon
[Sat 08:00] bram> /who
crew: Ana, alone, Anvil: off by 10:00. Ana heard 60 min ago. | Chidi and Dell, Long Step: off by 12:00. Chidi heard 30 min ago.
[Sat 09:00] dell> /off
[Sat 10:40] bram> /who
crew: Ana, alone, Anvil: late since 10:00 (40 min). Ana heard 3 h ago. | Chidi, alone, Long Step: off by 12:00. Dell heard 100 min ago. | Off the rocks today: Dell (Long Step, 09:00).
# Mo holds Ana's plan and belongs to no crew: of the others nothing is told.
[Sat 10:41] mo private> /who
mo: Ana, alone, Anvil: late since 10:00 (41 min)
[Sat 10:42] ana> /off
[Sat 10:43] mo private> /who
mo: Nobody is out, as far as I was told. Off the rocks today: Ana (Anvil, 10:42).
[Sat 10:44] eve starts
[Sat 10:44] eve private> /who
eve: Nobody is out, as far as I was told.
[Sat 11:50] chidi> /off
[Sat 11:55] ana private> /who
ana: Nobody is out, as far as I was told. Off the rocks today: Dell (Long Step, 09:00), Ana (Anvil, 10:42) and Chidi (Long Step, 11:50).
# The next day is another.
[Sun 09:00] ana private> /who
ana: Nobody is out, as far as I was told.
