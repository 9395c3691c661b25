# When it is decided: plan B with one tap, for everybody, and everybody says yes to it.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram chidi
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 foot 6 slope wall number 911
[Fri 19:01] ana> /ledge add Long Step at 38.9211 -123.7302 lip 3.0 faces 200
[Fri 19:02] ana> /trip Anvil sat 8am til 11am plan b Long Step
[Fri 19:03] bram> /in
[Fri 19:04] chidi taps Go to plan B: Long Step
toast: first say you are in
[Fri 22:00] bram taps Go to plan B: Long Step
crew: Plan B now, says Bram: Sat 14 Mar, Long Step 08:00–11:00 | It was Sat 14 Mar, Anvil 08:00–11:00 | Ana: still in?
crew: Sat 14 Mar, Long Step 08:00–11:00 · plan B home | not confirmed since the change: Ana
[Fri 22:01] ana taps In
crew: nobody brings
# Anyone may call it off, whether they said anything to it or not.
[Fri 22:02] chidi taps Call it off
crew: Sat 14 Mar, Long Step: called off. No reason needed
crew: Called off.
