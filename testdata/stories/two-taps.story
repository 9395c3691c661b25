# Going out from nothing with two taps, and what is still missing asked on the panel: the ledge, the time, the lifejacket, the signal.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram; ashore mo
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 number 911
[Fri 19:02] ana> /ledge add Long Step at 38.9620 -123.7301 lip 5 faces 250 number 911
[Sat 07:10] ana> /out
crew: Which ledge? Yours: Anvil and Long Step
# Who did not ask has no question to answer.
[Sat 07:11] bram taps Anvil
toast: That is over
[Sat 07:11] ana taps Anvil
crew: Ana, Anvil: off the rocks by when? I don't guess this
[Sat 07:12] ana taps 10:30
crew: Out: Ana, alone, Anvil. Off the rocks by 10:30 | Nobody ashore holds this plan | Lifejacket on: not said
[Sat 07:13] ana taps Lifejacket on
crew: Lifejacket on: yes
[Sat 07:14] ana taps No signal there
crew: No signal on the ledge, so I write nothing to you there before time
[Sat 10:15] wait
crew: nothing
[Sat 10:30] wait
crew: are you off Anvil
[Sat 10:31] ana taps I'm off
crew: off Anvil, 10:31
# In one line, with everything said.
[Sat 11:00] ana> /out long step back 3pm with Bram
crew: Out: Ana and Bram, Long Step. Off the rocks by 15:00
