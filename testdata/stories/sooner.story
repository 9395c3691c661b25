# A crew sets its own times inside bounds, one outing its own; what would make an alert useless is refused.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram chidi dell; ashore mo
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 open 200-330 foot 6 slope wall number 911
[Fri 19:02] ana starts
[Fri 19:03] ana private> /me phone +00 555 0142
[Fri 19:04] ana private> /contact
[Fri 19:05] mo follows
[Fri 19:06] mo private taps Yes, I hold Ana's plans
[Fri 20:00] ana> /alarm
crew: tell the mates after 20 min, those ashore after 40 min | /alarm mates 15 ashore 30
[Fri 20:01] ana> /alarm mates 2 ashore 30
crew: nothing is changed | mates 5–45
[Fri 20:02] ana> /alarm ashore 180
crew: nothing is changed | ashore 10–90
[Fri 20:03] ana> /alarm sometime
crew: nothing is changed
[Fri 20:04] ana> /alarm mates 12 ashore 24 repeat 5
crew: tell the mates after 12 min, those ashore after 24 min. Then every 5 min
[Sat 07:00] ana> /out Anvil back 9am
crew: at 09:00 I ask you, at 09:09 I tell the group, at 09:18 I tell Mo
mo: I write to you at 09:18
[Sat 07:05] ana> /alarm today ashore 40 mates 20
crew: Ana set other times for Anvil | at 09:15 I tell the group, at 09:30 I tell Mo
mo: Ana set other times for Anvil | I write to you at 09:30
[Sat 07:06] bram> /alarm today ashore 60
crew: I have you on no ledge
[Sat 09:18] wait
mo: nothing
[Sat 09:30] wait
mo: Ana has not checked in
# Once late, a later alert is asked for by a delay, which everybody hears of.
[Sat 09:31] ana> /alarm today ashore 90
crew: That time has passed
[Sat 09:32] ana> /off
mo: Stand down
[Sat 09:33] ana> /alarm usual
crew: those ashore after 40 min
