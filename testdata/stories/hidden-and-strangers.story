# An anonymous admin, a stranger and a forwarded line change nothing of who is out.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram chidi dell; ashore mo
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 open 200-330 foot 6 slope wall number 911
[Fri 19:02] ana starts
[Fri 19:03] ana private> /me phone +00 555 0142
[Fri 19:04] ana private> /contact
[Fri 19:05] mo follows
[Fri 19:06] mo private taps Yes, I hold Ana's plans
[Sat 07:00] ana> /out Anvil back 9am
[Sat 07:10] ana hidden> /off
crew: I can't see who you are
[Sat 07:11] chidi taps I'm off
toast: not one of those out
[Sat 07:12] ana forwards /off
crew: nothing
[Sat 07:13] dell> /more 30
crew: I have you on no ledge
[Sat 09:00] wait
ana: are you off Anvil
