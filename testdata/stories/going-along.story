# A mate says with one tap that they are out too; those ashore hear of two, and nothing closes until both are off.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram chidi dell; ashore mo
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 open 200-330 foot 6 slope wall number 911
[Fri 19:02] ana starts
[Fri 19:03] ana private> /me phone +00 555 0142
[Fri 19:04] ana private> /contact
[Fri 19:05] mo follows
[Fri 19:06] mo private taps Yes, I hold Ana's plans
[Sat 07:00] ana> /out Anvil back 10am
crew: Out: Ana, alone, Anvil
[Sat 07:10] bram taps I'm with them
crew: Bram is out on Anvil too | Out: Ana and Bram, off the rocks by 10:00 | at 10:20 I tell the group
mo: Bram is out on Anvil too
# Said twice it is once; a second outing at the same time is refused.
[Sat 07:11] bram taps I'm with them
crew: nothing
[Sat 07:12] bram> /out Anvil back 11am
crew: You are out on Anvil, off by 10:00
[Sat 09:30] ana> /off
crew: Ana is off the rocks. Still out: Bram
# Called off, an old button does not take her out again.
[Sat 09:31] ana taps I'm with them
toast: off the rocks already
[Sat 09:40] bram> /off
crew: Ana and Bram: off Anvil, 09:40
mo: off Anvil
