# Which day shall it be: the forecast beside each, and the one taken becomes the plan of those who could.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram chidi dell
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 foot 6 slope wall number 911
[Fri 19:01] ana> /ledge add Long Step at 38.9211 -123.7302 lip 3.0 faces 200
[Fri 19:02] ana> /trip vote
crew: Two to 6 days
[Fri 19:02] ana> /trip vote Anvil sat 8am til 11am | sunday
crew: Option 2 | from when to when?
[Fri 19:02] ana> /trip vote Anvil sat 8am til 11am |
crew: One day is no choice
[Fri 19:03] ana> /trip vote Anvil sat 8am til 11am | sun 9am til noon | Long Step sun 9am til noon plan b home
crew: 1. Sat 14 Mar, Anvil 08:00–11:00 · nobody yet · likely washed | 2. Sun 15 Mar, Anvil 09:00–12:00 | 3. Sun 15 Mar, Long Step 09:00–12:00 | Plan B home
[Fri 19:04] ana taps 1. Sat 14 Mar 08:00 Anvil
crew: 1. Sat 14 Mar, Anvil 08:00–11:00 · 1 (Ana)
[Fri 19:05] bram taps 1. Sat 14 Mar 08:00 Anvil
[Fri 19:05] bram taps 2. Sun 15 Mar 09:00 Anvil
crew: Anvil 08:00–11:00 · 2 (Ana, Bram) | Anvil 09:00–12:00 · 1 (Bram)
# Again takes it back; "none" takes back all.
[Fri 19:06] bram taps 1. Sat 14 Mar 08:00 Anvil
crew: Anvil 08:00–11:00 · 1 (Ana)
[Fri 19:07] chidi taps 2. Sun 15 Mar 09:00 Anvil
[Fri 19:07] dell taps None of these
crew: On none of them: Dell
# The evening before the first of them the sea is looked at again by itself, and nobody is rung for it.
[Fri 20:01] wait
crew: Anvil 08:00–11:00 · 1 (Ana) · likely washed, 1.3 m 11 s, looked up a moment ago
[Fri 20:30] ana taps 2. Sun 15 Mar 09:00 Anvil
crew: Anvil 09:00–12:00 · 3 (Bram, Chidi, Ana) · likely washed, 2.6 m 15 s, looked up 30 min ago
# A tap on what has stood for an hour looks again.
[Fri 21:10] dell taps 3. Sun 15 Mar 09:00 Long Step
crew: Long Step 09:00–12:00 · 1 (Dell) · likely washed, 2.6 m 15 s, looked up a moment ago
[Fri 21:11] dell taps None of these
# The panel is found again, at the bottom.
[Fri 21:31] ana> /trip
crew: Which one? | Anvil 09:00–12:00 · 3 (Bram, Chidi, Ana)
[Fri 21:32] ana taps Take one…
crew: Which one becomes the plan?
[Fri 21:32] ana taps 2. Sun 15 Mar 09:00 Anvil
crew: Taken: Sun 15 Mar, Anvil 09:00–12:00
crew: Sun 15 Mar, Anvil 09:00–12:00 · plan B home | Not ready | still to confirm: Bram, Chidi | In: Ana, Bram, Chidi
[Fri 21:33] bram taps In
crew: still to confirm: Chidi
[Fri 21:34] chidi taps Can't
crew: In: Ana, Bram · Maybe: – · Can't: Chidi
# Nothing more to vote on.
[Fri 21:35] dell forges avote|g5en.none|0|0
crew: nothing
# Dropped, nothing comes of it.
[Fri 21:36] bram> /trip vote Anvil mon 8am til 11am | tue 8am til 11am
[Fri 21:37] chidi taps Take one…
[Fri 21:37] chidi taps Drop the vote
crew: Vote dropped
