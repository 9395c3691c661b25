# Nobody is asked in the night, nor twice, nor about what did not happen; of a sea that nobody knows nothing is learned.
start 2026-03-13 18:00 America/Los_Angeles
people ana bram; ashore mo
[Fri 18:00] bot joins
[Fri 18:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 5.4 faces 270 foot 12 slope wall number 911
[Fri 18:02] ana starts
[Fri 18:05] ana> /out Anvil back 9pm
[Fri 20:30] ana> /off
[Sat 07:59] wait
ana: nothing
crew: nothing
[Sat 08:01] wait
ana: Anvil, Fri 13 Mar: two questions
crew: nothing
[Sat 08:05] ana private taps Often
ana: Ana: water over it often
[Sat 08:06] ana> /ledge Anvil
crew: No watch noted yet
# Called off before anybody went.
[Sat 09:00] ana> /out Anvil back 1pm
[Sat 09:10] ana> /cancel
[Sat 20:00] wait
ana: nothing
crew: nothing
# A near miss that is not told within half an hour is not asked for again, and a line is a line.
[Sat 20:05] ana> /out Anvil back 9:30pm
[Sat 21:00] ana> /off
[Sun 08:01] wait
ana: two questions
[Sun 08:02] ana private taps Knocked over
ana: What happened, in a line?
[Sun 08:40] ana private> the set came from the north
ana: I only understand commands
[Sun 08:41] ana> /nearmiss
crew: No near miss noted within a year
[Mon 12:00] wait
ana: nothing
crew: nothing
# An answer that is taken back takes its question along.
[Mon 12:05] ana> /out Anvil back 3pm
[Mon 14:00] ana> /off
[Mon 17:01] wait
ana: two questions
[Mon 17:02] ana private taps In the water
ana: What happened, in a line?
[Mon 17:03] ana private taps Nobody wet
ana: Ana: nobody wet
[Mon 17:04] ana private> sorry, wrong button
ana: I only understand commands
