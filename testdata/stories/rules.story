# A crew loads a pack of rules, is counted by it, and has a stale one said loudly.
start 2026-03-13 19:00 America/Los_Angeles
people ana bram
[Fri 19:00] bot joins
[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270
[Fri 19:01] ana> /settings area us-ca
[Fri 19:02] ana> /rules
crew: I hold no rules | /rules example
[Fri 19:02] ana> /bag
crew: Nobody has a fish in a bag
[Fri 19:03] ana> /rules example
crew: [file example-coast.yaml] | Write in what the rules in force say
[Fri 19:04] ana sends stories/rules-bad.yaml> /rules
crew: Not taken, nothing is changed. | Line 19: | rules 1, min | a number with its unit is wanted | “14” | 25 cm
[Fri 19:04] ana> /rules
crew: I hold no rules
[Fri 19:05] ana sends stories/rules-coast.yaml> /rules
crew: Taken. | Example Coast | 7 rules | Checked 12 Mar | Where do you fish: The Cove; or elsewhere?
[Fri 19:06] ana> /catch calico bass 15in kept
crew: Cannot tell: it hangs on where you fish | /rules area The Cove | Treat that as a no
[Fri 19:06] ana> /undo
[Fri 19:07] ana> /rules area elsewhere
crew: none of the areas
[Fri 19:08] ana> /catch calico bass 15in kept
crew: Allowed by the rules I hold | Ana: 1 of 4 bass and opaleye today | Example Coast leaflet, text of 2026-01-01, checked 12 Mar
[Fri 19:09] ana> /catch calico bass 13.9in kept
crew: 14 in | measure again, mouth closed, or let it go
[Fri 19:09] ana> /undo
[Fri 19:10] ana> /catch 3 opaleye kept
crew: the bag is full. Stop keeping these.
[Fri 19:11] ana> /catch calico bass 15in kept
crew: Not allowed: Ana is 1 over the bag of 4 (bass and opaleye, today)
[Fri 19:11] ana> /undo
[Fri 19:12] bram> /catch 2 halfmoon kept
crew: Bram: 2 of 2 halfmoon in any 24 hours: the bag is full
[Fri 19:13] ana> /bag
crew: Bags, Fri 13 Mar 19:13 | Ana: 4 of 4 bass and opaleye today: stop. | Bram: 2 of 2 halfmoon in any 24 hours: stop. | what is at home does not
[Fri 19:14] ana> /freezer 5 opaleye
crew: Ana has 5 opaleye at home
[Fri 19:14] ana> /freezer
crew: 5 opaleye, as you said on Fri 13 Mar
[Fri 19:15] ana> /rules near 8
crew: within 8 mm
[Fri 19:15] ana> /rules near 30
crew: no number of millimetres from 5 to 10
[Fri 19:15] ana> /rules gear
crew: rods: at most 2
[Fri 19:16] ana> /rules mode boat
crew: from a boat
[Fri 19:16] ana> /rules mode shore
crew: from the shore
[Fri 19:16] ana> /rules area Reef
crew: No pack has an area “Reef” | The Cove
# Any 24 hours goes over midnight; a calendar day does not. No fishing in a closed season, let go or not.
[Sat 08:00] bram> /catch 1 halfmoon kept
crew: Not allowed: Bram is 1 over the bag of 2 (halfmoon, in any 24 hours)
[Sat 08:00] bram> /undo
[Sat 08:01] ana> /catch 1 opaleye kept
crew: Allowed by the rules I hold | Ana: 1 of 4 bass and opaleye today
[Sat 08:02] ana> /catch 3 opaleye kept
crew: Not allowed: Ana has 9 with those at home, and 8 may be held
[Sat 08:02] ana> /undo
[Sat 08:03] bram> /catch 1 cabezon released
crew: Not allowed: no fishing for cabezon from 1 Jan to 31 Mar.
[Sat 08:04] bram> /undo
# In the Cove another rule holds as well.
[Sat 08:05] ana> /rules area the cove
crew: fish in The Cove
[Sat 08:05] ana> /catch calico bass 15in kept
crew: Not allowed: Ana is 1 over the bag of 0 (kelp bass in the Cove, today)
[Sat 08:05] ana> /undo
# A pack nobody checked for a year answers nothing, and says so.
[Sat 08:06] ana> /rules off example-coast
crew: [file example-coast.yaml] | is taken out
[Sat 08:06] ana> /rules off example-coast
crew: no pack called “example-coast”
[Sat 08:07] ana sends stories/rules-old.yaml> /rules
crew: Taken. | Checked 12 Mar 2025, over a year ago: “cannot tell”
[Sat 08:07] ana> /rules area elsewhere
[Sat 08:08] ana> /catch calico bass 15in kept
crew: Cannot tell: the rule was last checked 12 Mar 2025, over a year ago
[Sat 08:09] ana> /rules get old-coast
crew: [file old-coast.yaml] | as it was sent
[Sat 08:10] ana> /rules frob
crew: I can't read “frob”
