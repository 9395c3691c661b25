# A plan by the tide and the light: what may mean two waters is asked, with a button for each, and the line goes on from there.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 foot 6 slope wall number 911
[Fri 19:01] ana> /ledge add Long Step at 38.9211 -123.7302 lip 3.0 faces 200
# Arena Cove has its highs of that day at 08:02 and 22:16.
[Fri 19:02] ana> /trip Anvil 2h up to high sat plan b Long Step
crew: which one? It may be Sat 14 Mar 06:02 and Sat 14 Mar 20:16
# It was asked of Ana.
[Fri 19:03] bram taps Sat 14 Mar 06:02–08:02
toast: over
[Fri 19:03] ana taps Sat 14 Mar 06:02–08:02
crew: Sat 14 Mar, Anvil 06:02–08:02 | plan B Long Step
# Nothing left open: the morning high, and the light.
[Fri 19:05] ana> /trip Anvil sat morning 2h either side of high
crew: Sat 14 Mar, Anvil 06:02–10:02
[Fri 19:06] ana> /trip Long Step sat first light til 9
crew: Sat 14 Mar, Long Step 07:00–09:00
# A start without an end, and then the hour typed instead of tapped.
[Fri 19:07] ana> /trip Anvil sun 5am plan b Long Step
crew: Anvil from Sun 15 Mar 05:00: until when?
[Fri 19:08] ana answers> half past 8
crew: Anvil, Sun 15 Mar 05:00–08:30. Is that the plan?
[Fri 19:09] ana taps Plan it
crew: Sun 15 Mar, Anvil 05:00–08:30 | plan B Long Step
# Morning or evening, answered in words.
[Fri 19:10] ana> /trip Long Step sun 6-9
crew: which half of the day?
[Fri 19:11] ana answers> the evening
crew: Long Step, Sun 15 Mar 18:00–21:00. Is that the plan?
# Nonsense gets one example, and what hangs on no hour is asked for.
[Fri 19:12] ana> /trip Anvil whenever the swell drops
crew: from when to when? For example
[Fri 19:13] ana> /trip Anvil pushing tide sat
crew: from when to when?
[Fri 19:14] ana answers> dunno
crew: from when to when?
[Fri 19:15] ana answers> sat 9am til noon
crew: Anvil, Sat 14 Mar 09:00–12:00. Is that the plan?
# The hours of conditions are asked for in the same words.
[Fri 19:16] ana> /conditions Anvil sat 6-9
crew: which half of the day?
[Fri 19:17] ana taps Sat 14 Mar 06:00–09:00
crew: Anvil, Sat 14 Mar 06:00–09:00
[Fri 19:18] ana> /conditions Anvil sat morning an hour either side of high
crew: Anvil, Sat 14 Mar 07:02–09:02
# New hours of the newest plan, in the same words: its own day has the light they mean.
[Fri 19:20] ana> /trip Anvil sun 9am til 11am plan b Long Step
[Fri 19:21] ana> /trip change sunrise til noon
crew: Plan changed by Ana: Sun 15 Mar, Anvil 07:25–12:00 | It was Sun 15 Mar, Anvil 09:00–11:00
