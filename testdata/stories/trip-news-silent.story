# A source that is silent before a trip is said each time, for people count on it, and so is that it answers again; a warning is said once.
start 2026-03-12 12:00 America/Los_Angeles
people ana bram
[Thu 12:00] bot joins
[Thu 12:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 9.1 faces 270 foot 12 slope wall number 911
[Thu 12:02] ana> /trip Anvil fri 8am til 11am plan b home
[Thu 12:03] sea silent
[Thu 20:10] wait
crew: Fri 13 Mar 08:00–11:00: cannot tell | the service does not answer. Treat that as a no. | Since the plan: it was “not expected on this forecast” | Still going?
[Fri 06:10] wait
crew: Fri 13 Mar 08:00–11:00: cannot tell | the service does not answer. Treat that as a no. | Still going?
[Fri 06:11] ana> /calloff
# Silent when it was planned, and answering since.
[Fri 06:12] ana> /trip Anvil sat 8am til 11am plan b home
crew: cannot tell
[Fri 06:13] sea answers
[Fri 20:10] wait
crew: Sat 14 Mar 08:00–11:00: could be washed | the sources answer again; swell 2.6 m
[Sat 06:10] wait
crew: without Still going?
[Sat 06:11] ana> /calloff
[Sat 06:12] ana> /trip Anvil sun 8am til 11am plan b home
[Sat 06:13] sea warns High Surf Warning until Sunday evening
[Sat 20:10] wait
crew: Still going? | High Surf Warning until Sunday evening
[Sun 06:10] wait
crew: without Still going?
