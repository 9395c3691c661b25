# Prawns are named once, when somebody claims them: what holds in Australia there, elsewhere that local rules are to be looked up.
start 2026-03-12 12:00 Australia/Sydney
people ana bram
[Thu 12:00] bot joins
[Thu 12:01] ana> /ledge add Anvil at -33.8290 151.2840 lip 6.1 faces 90 foot 12 slope wall number 000
[Thu 12:02] ana> /trip Anvil sat 8am til 11am plan b home
[Thu 12:03] ana> /bring green prawns
crew: Prawns sold for eating: not as bait or berley in Australia | freezing does not kill it | Source: NSW DPI, 2017 and June 2024
# Let go, they are nothing to speak of.
[Thu 12:04] ana> /bring green prawns
crew: without Prawns sold
[Thu 12:05] bram> /in
[Thu 12:06] bram> /bring pilchards
crew: without Prawns sold
[Thu 12:07] ana> /berley recipe 3 kg bread, 500 g prawn heads for 2 anglers 3 hours
crew: Recipe for 2 anglers, 3 h | not as bait or berley in Australia
