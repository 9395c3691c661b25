# A location sent by hand while out is kept for those ashore and no new ledge; a forwarded one is nobody's.
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
# In a group we read only what answers us.
[Sat 07:30] ana places 38.9543 -123.7410
crew: Location noted, 07:30 | no check-in
[Sat 09:30] wait
mo: Last heard: 07:30, Ana, a location
[Sat 09:31] ana taps I'm off
crew: Stand down
# Off the rocks a location in private is the place of a new ledge again.
[Sat 12:00] ana private pins 38.9543 -123.7410
ana: Which way does it look out to sea
