# Other hours, another ledge: those who are in are asked again, and whoever has not said so is not taken for out.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram chidi dell
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 foot 6 slope wall number 911
[Fri 19:01] ana> /ledge add Long Step at 38.9211 -123.7302 lip 3.0 faces 200
[Fri 19:02] ana> /trip Anvil sun 8am til 11am plan b Long Step
[Fri 19:03] bram> /in
[Fri 19:03] chidi> /in
[Fri 19:04] ana> /trip change
crew: Change what?
[Fri 19:04] dell> /trip change 9am til noon
crew: first say you are in
[Fri 19:04] ana> /trip change sun 8am til 11am
crew: That is the plan already
# Hours without a day are those of the plan's own day.
[Fri 19:05] ana> /trip change 9am til noon
crew: Plan changed by Ana: Sun 15 Mar, Anvil 09:00–12:00 | It was Sun 15 Mar, Anvil 08:00–11:00 | Bram and Chidi: still in?
crew: Not ready | not confirmed since the change: Bram, Chidi
[Fri 19:06] bram taps In
crew: not confirmed since the change: Chidi
# A button from before the change says yes to what is no more. Telegram kept it while nobody was there.
[Fri 19:07] chidi forges asay|g5en.100004|in|0
toast: The plan has changed since
# Another day, to the ledge that was plan B: plan B is home then.
[Fri 19:08] bram> /trip change Long Step sat 9am til noon
crew: Plan changed by Bram: Sat 14 Mar, Long Step 09:00–12:00 | Ana and Chidi: still in?
crew: plan B home | not confirmed since the change: Ana, Chidi
[Fri 19:09] chidi> /maybe
crew: not confirmed since the change: Ana
[Sat 08:40] chidi> /in
[Sat 08:41] bram taps We're going out
crew: Out: Bram and Chidi, Long Step. Off the rocks by 12:00
crew: Ana has not confirmed since the change and does not count as out
# Two taps are one, and what is under way is not planned anew.
[Sat 08:42] chidi taps We're going out
toast: Out until 12:00
crew: nothing
[Sat 08:43] bram> /trip change 10am til noon
crew: They are out already
[Sat 08:44] ana taps I'm with them
crew: Ana is out on Long Step too. Out: Bram, Chidi and Ana
[Sat 11:30] bram> /off all
crew: off Long Step
