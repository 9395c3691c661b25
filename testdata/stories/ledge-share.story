# A ledge is its crew's secret; one person takes a copy by a link, once.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram; ashore gil eve
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 6.1 faces 270 foot 6 slope wall number 911
[Fri 19:02] ana> /ledge note Anvil our own business
[Fri 19:02] ana> /ledge limits Anvil swell 1.8
[Fri 19:03] ana> /ledge share Anvil
crew: Press Start in a private chat with me
[Fri 19:04] ana starts
[Fri 19:05] ana> /ledge share Anvil
crew: Sent to you in private
ana: A copy of Anvil for one person | exact place | not your notes, limits or near misses
[Fri 19:06] ana follows
ana: That is your own link
[Fri 19:07] gil follows
gil: Ana shares a ledge with you: Anvil
[Fri 19:08] gil private taps Take it
gil: Anvil is yours now, a copy from Ana
[Fri 19:09] gil private taps Take it
gil: I know that place as Anvil
[Fri 19:10] eve follows
eve: That link is used or over
[Fri 19:11] gil private> /ledge Anvil
gil: Card shared by Ana | Emergency number 911
[Fri 19:12] gil private> /ledge note Anvil
gil: No note about Anvil yet
[Fri 19:13] gil private> /out Anvil back 9:30pm
gil: Out: Gil, alone, Anvil
[Fri 19:14] gil private> /off
[Fri 19:15] bram> /ledge
crew: Anvil: lip 6.1 m
