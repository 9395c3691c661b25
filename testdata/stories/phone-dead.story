# A dead phone: nothing is heard, the ladder goes up in order, repeats, and names what was tried; a delay is impossible, and only an off ends it.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram chidi dell; ashore mo
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 open 200-330 foot 6 slope wall number 911
[Fri 19:02] ana starts
[Fri 19:03] ana private> /me phone +00 555 0142
[Fri 19:04] ana private> /contact
[Fri 19:05] mo follows
[Fri 19:06] mo private taps Yes, I hold Ana's plans
[Sat 15:00] ana> /out Anvil back 6:15pm
[Sat 18:15] wait
ana: are you off Anvil
[Sat 18:25] wait
crew: Ana has not checked in | Light until 19:47
[Sat 18:35] wait
mo: Ana has not checked in | Call 911 now
[Sat 18:36] mo private taps I'm trying to reach them
mo: Mo is trying to reach Ana | I stay quiet until 18:51
[Sat 18:50] wait
mo: nothing
[Sat 18:51] wait
mo: (still) | Nothing heard since Mo took it on at 18:36
[Sat 18:55] mo private taps I have called 911
crew: Mo has called 911
mo: Keep your phones free | Go down to no ledge alone
[Sat 19:25] wait
mo: said at 18:55 that help was called
[Sat 19:55] wait
mo: Dark since 19:47
# Reached by others, she is called off by nobody but herself: the mates say what they know.
[Sat 20:00] bram> /reached
crew: Bram reached Ana: fine, by Bram's word | only “off” from Ana closes it
[Sat 20:30] ana private> /off
mo: Stand down
crew: Stand down
